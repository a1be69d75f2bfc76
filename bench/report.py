# ruff: noqa: T201 - a script; its table is what it is for
"""What `make bench` tells: all timings of the newest run as one table, what grew, and what got slower than the last run.

    python -m bench.report [FOLDER]

Reads the newest JSON file of FOLDER (bench/results unless another is named), writes growth.svg beside it. Ends with 1
when a page grows faster than its data or anything takes a fifth longer than in the run before on the same machine.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from bench import growth, years_table
from bench.compare import medians, newest, regressions, same_machine

RESULTS = Path(__file__).parent / "results"
# A timing, what it is held against, measured in the same run.
BESIDE = {
    "test_ours_on_the_same_two_hundred_projects": ("test_statsmodels_on_two_hundred_projects", "statsmodels"),
}
_FIGURES = {
    "over_bound_pct": "{:.2f}% over its bound",
    "times_critical_path": "{:.2f} times the critical path",
    "gap": "within {:.2%} of its bound",
    "resident_mb": "{:.0f} MB resident",
    "start_mb": "{:.0f} MB with the first page",
    "tap_median_ms": "a tap {:.0f} ms",
    "tap_p95_ms": "its 95th percentile {:.0f} ms",
}


def others(stored: dict[str, Any]) -> str:
    """All timings but those of pages over the years, each with what it is held against."""
    times = {one["name"].partition("[")[0]: one["stats"]["median"] for one in stored["benchmarks"]}
    lines = ["| timing | median, ms | 95th percentile, ms | beside |", "| --- | --: | --: | --- |"]
    for one in sorted(stored["benchmarks"], key=lambda each: each["fullname"]):
        if "statements" not in (extra := one["extra_info"]):
            name = one["fullname"].removeprefix("bench/test_bench_").replace(".py::test_", ": ").replace("_", " ")
            told = [said.format(extra[key]) for key, said in _FIGURES.items() if key in extra]
            if (pair := BESIDE.get(one["name"])) and pair[0] in times:
                told.append(f"{times[pair[0]] / one['stats']['median']:.0f} times as fast as {pair[1]}")
            lines.append(f"| {name} | {1e3 * one['stats']['median']:.1f} | {extra['p95_ms']:.1f} | {', '.join(told)} |")
    return "\n".join(lines)


def whole(stored: dict[str, Any]) -> str:
    """One table of everything, with what grows faster than its data named under it."""
    parts = []
    if curves := years_table.curves(stored):
        parts += [years_table.table(stored), ""]
        steep = growth.too_steep(curves)
        parts += [f"GROWS FASTER THAN ITS DATA, slope {rise:.2f}: {page}" for page, rise in steep]
        parts += [] if steep else ["No page grows faster than its data."]
    return "\n".join([*parts, "", others(stored)])


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("folder", type=Path, nargs="?", default=RESULTS)
    given = asked.parse_args()
    files = newest(given.folder)
    if not files:
        print(f"no run in {given.folder}; make bench makes one")
        return 1
    stored = [json.loads(path.read_text(encoding="utf-8")) for path in files]
    print(whole(stored[-1]))
    steep: list[tuple[str, float]] = []
    if curves := years_table.curves(stored[-1]):
        (given.folder / "growth.svg").write_text(growth.picture(curves), encoding="utf-8")
        steep = growth.too_steep(curves)
    slower = []
    if len(stored) > 1 and same_machine(*stored):
        slower = regressions(medians(stored[1]), medians(stored[0]))
        for name, ratio in slower:
            print(f"SLOWER {ratio:.2f} times: {name}")
    return 1 if slower or steep else 0


if __name__ == "__main__":
    sys.exit(main())
