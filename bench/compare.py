# ruff: noqa: T201 - a script; its table is what it is for
"""The last stored run of `make bench` beside the one before it; whatever got slower by more than a fifth is named.

    python -m bench.compare [--markdown] [FOLDER]

Reads the two newest JSON files under FOLDER (bench/results unless another is named). Ends with 1 when anything got slower.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

WORSE = 1.20


def medians(stored: dict[str, Any]) -> dict[str, float]:
    """Seconds by the name of the timing."""
    return {one["fullname"].removeprefix("bench/"): one["stats"]["median"] for one in stored["benchmarks"]}


def regressions(now: dict[str, float], before: dict[str, float]) -> list[tuple[str, float]]:
    """What takes longer than it did, by how many times, the worst first."""
    times = [(name, now[name] / before[name]) for name in now.keys() & before.keys() if before[name] > 0]
    return sorted(((name, ratio) for name, ratio in times if ratio > WORSE), key=lambda one: -one[1])


def newest(folder: Path, most: int = 2) -> list[Path]:
    """The last runs stored, oldest of them first."""
    return sorted(folder.rglob("*.json"), key=lambda path: path.stat().st_mtime)[-most:]


def same_machine(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Whether two runs can be compared at all: the same processor and the same Python."""
    first, second = one["machine_info"], other["machine_info"]
    return first["cpu"].get("brand_raw") == second["cpu"].get("brand_raw") and (
        first["python_version"] == second["python_version"]
    )


def markdown(stored: dict[str, Any]) -> str:
    """A table of all timings, the machine named above it."""
    machine = stored["machine_info"]
    lines = [f"{machine['cpu'].get('brand_raw', machine['machine'])}, Python {machine['python_version']}", ""]
    lines += ["| timing | median ms | slowest ms | rounds |", "| --- | --: | --: | --: |"]
    for one in sorted(stored["benchmarks"], key=lambda each: each["fullname"]):
        stats = one["stats"]
        name = one["fullname"].removeprefix("bench/")
        lines.append(f"| {name} | {1e3 * stats['median']:.1f} | {1e3 * stats['max']:.1f} | {stats['rounds']} |")
    return "\n".join(lines)


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("folder", type=Path, nargs="?", default=Path(__file__).parent / "results")
    asked.add_argument("--markdown", action="store_true", help="the newest run as a table")
    given = asked.parse_args()
    stored = [json.loads(path.read_text(encoding="utf-8")) for path in newest(given.folder)]
    if given.markdown and stored:
        print(markdown(stored[-1]))
    if len(stored) < 2:
        print("nothing to compare with yet")
        return 0
    if not same_machine(*stored):
        print("the last two runs are of different machines")
        return 0
    slower = regressions(medians(stored[1]), medians(stored[0]))
    for name, ratio in slower:
        print(f"SLOWER {ratio:.2f} times: {name}")
    return 1 if slower else 0


if __name__ == "__main__":
    sys.exit(main())
