# ruff: noqa: T201 - a script; its table is what it is for
"""Cutting plans for a folder of instances, as a table; wrong when a bound passes a known plan or a plan cannot be cut.

    python -m bench.cutting_instances DIR [--seconds S] [--rival]

Each instance has a process of its own, so that the memory is its own too: that of the search and of the solver beside it,
each at its largest, added. `--rival` puts one integer programme for the whole problem (`bench/arc_flow.py`), with the same
time, beside it.
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
from dataclasses import asdict, dataclass
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING

from bench import arc_flow
from bench.cutting_files import read_instances
from journal.cutting import boards
from journal.cutting.problem import Search
from journal.cutting.verify import replay
from journal.errors import NoSolution

if TYPE_CHECKING:
    from collections.abc import Iterator

    from bench.cutting_files import Instance

ROW = "{:<34} {:>10} {:>10} {:>10} {:>7} {:<9} {:<9} {:>7} {:>5}"
RIVAL_SECONDS = 10.0  # when no time is given
HEAD = ("instance", "cost", "bound", "known", "gap %", "status", "bound by", "s", "MB")


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one instance; without a plan `cost` is None."""

    name: str
    cost: int | None
    bound: int
    kind: str
    status: str
    seconds: float
    megabytes: float
    faults: tuple[str, ...] = ()
    known: str = ""

    def line(self) -> str:
        gap = "" if self.cost is None else f"{100 * (self.cost - self.bound) / max(1, self.cost):.3f}"
        cost = "none" if self.cost is None else str(self.cost)
        figures = (self.name, cost, self.bound, self.known, gap, self.status, self.kind)
        return ROW.format(*figures, f"{self.seconds:.2f}", f"{self.megabytes:.0f}")


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("folder", type=Path)
    asked.add_argument("--seconds", type=float, help="go on to prove the plan for so long; otherwise the quick plan")
    asked.add_argument("--rival", action="store_true", help="one integer programme for the whole beside it")
    asked.add_argument("--one", type=int, help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.one is not None:
        instance = read_instances(given.folder)[given.one]
        print(json.dumps(asdict(_rival(instance, given.seconds) if given.rival else _plan(instance, given.seconds))))
        return 0
    print(ROW.format(*HEAD))
    wrong = 0
    for path in sorted(given.folder.rglob("*.json")):
        for number, instance in enumerate(read_instances(path)):
            for rival in (False, True) if given.rival else (False,):
                found = _apart(path, number, given.seconds, rival=rival)
                print(found.line(), flush=True)
                for fault in [*found.faults, *_disproofs(instance, found)]:
                    print(f"  WRONG: {fault}", flush=True)
                    wrong += 1
    return 1 if wrong else 0


def _apart(path: Path, number: int, seconds: float | None, *, rival: bool) -> Outcome:
    """One instance in a new process; the rival is ended by force after three times its time, which it may well pass."""
    command = [sys.executable, "-m", "bench.cutting_instances", str(path), "--one", str(number)]
    command += [] if seconds is None else ["--seconds", str(seconds)]
    command += ["--rival"] if rival else []
    longest = 3 * (seconds or RIVAL_SECONDS) if rival else None
    try:
        done = subprocess.run(command, check=True, capture_output=True, text=True, timeout=longest)
    except subprocess.TimeoutExpired as ended:
        return Outcome("  arc-flow", None, 0, "solver", "ended", ended.timeout, 0.0)
    told = json.loads(done.stdout.splitlines()[-1])
    return Outcome(**(told | {"faults": tuple(told["faults"])}))


def _plan(instance: Instance, seconds: float | None) -> Outcome:
    began = perf_counter()
    try:
        result = boards.plan(instance.problem, None if seconds is None else Search(seconds=seconds, apart=True))
    except NoSolution as refused:
        taken = perf_counter() - began
        return Outcome(instance.name, None, 0, "", "refused", taken, _megabytes(), known=str(refused))
    taken, peak = perf_counter() - began, _megabytes()
    faults = replay(instance.problem, result).faults
    return Outcome(
        instance.name,
        result.cost_cents,
        result.bound_cents,
        result.bound_kind,
        result.status,
        taken,
        peak,
        faults,
        _known(instance),
    )


def _rival(instance: Instance, seconds: float | None) -> Outcome:
    began = perf_counter()
    found = arc_flow.solve(instance.problem, seconds or RIVAL_SECONDS)
    taken = perf_counter() - began
    name = f"  arc-flow, {found.columns} columns"
    return Outcome(name, found.cost, found.bound, "solver", found.status, taken, _megabytes(), (), _known(instance))


def _known(instance: Instance) -> str:
    if instance.reached is not None:
        return str(instance.reached)
    return "" if instance.floor is None else f">={instance.floor}"


def _disproofs(instance: Instance, found: Outcome) -> Iterator[str]:
    if instance.reached is not None and found.bound > instance.reached:
        yield f"a plan of {instance.reached} is known, and the bound is {found.bound}"
    if instance.floor is not None and found.cost is not None and found.cost < instance.floor:
        yield f"no plan costs less than {instance.floor}, and this one costs {found.cost}"


def _megabytes() -> float:
    """Of this process and of the largest it started, each at its largest."""
    return sum(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)) / 1024


if __name__ == "__main__":
    sys.exit(main())
