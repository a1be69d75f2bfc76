# ruff: noqa: T201 - a script; its table is what it is for
"""Pages of a shop with 1, 10 and 20 years behind it, as a table: the slowest first.

    python -m bench.years_table FILE [--from MS]

FILE is what `pytest bench/test_bench_years.py --benchmark-only --benchmark-json=FILE` stored. Pages whose median stays below
MS (25 unless another is named) after the most years are counted in one line.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bench.growth import Curve, slope

SHORT_MS = 25.0


@dataclass(frozen=True, slots=True)
class Timed:
    """One page of one shop: milliseconds, statements sent to the database, and what SQLite alone takes for them."""

    median_ms: float
    p95_ms: float
    statements: int
    sql_ms: float


def by_page(stored: dict[str, Any]) -> dict[str, dict[int, Timed]]:
    """Page → years of the shop → its timing."""
    found: dict[str, dict[int, Timed]] = {}
    for one in stored["benchmarks"]:
        if "statements" in (extra := one["extra_info"]):
            years = int(one["params"]["shop"])
            timed = Timed(1e3 * one["stats"]["median"], extra["p95_ms"], extra["statements"], extra["sql_ms"])
            found.setdefault(one["params"]["page"], {})[years] = timed
    return found


def curves(stored: dict[str, Any]) -> dict[str, Curve]:
    """Page → years → median milliseconds."""
    return {page: _curve(timed) for page, timed in by_page(stored).items()}


def _curve(timed: dict[int, Timed]) -> Curve:
    return {year: one.median_ms for year, one in timed.items()}


def named(machine: dict[str, Any]) -> str:
    """The machine, in a line."""
    cpu = machine["cpu"]
    more = f", {machine['memory_mb'] / 1024:.0f} GB, load {machine['load']:.1f}" if "load" in machine else ""
    cores = f", {cpu['count']} cores" if "count" in cpu else ""
    return f"{cpu.get('brand_raw', machine['machine'])}{cores}{more}, Python {machine['python_version']}"


def table(stored: dict[str, Any], short_ms: float = SHORT_MS) -> str:
    """The table, the machine named above it."""
    machine, pages = stored["machine_info"], by_page(stored)
    years = sorted({year for timed in pages.values() for year in timed})
    last = years[-1]
    slow = {page: timed for page, timed in pages.items() if timed[last].median_ms >= short_ms}
    heads = [f"{year} year{'s' * (year > 1)}, ms" for year in years] + [
        f"95th percentile at {last}",
        f"statements at {last}",
        "their SQL alone, ms",
        "slope",
    ]
    lines = [named(machine), ""]
    lines += ["| page | " + " | ".join(heads) + " |", "| --- |" + " --: |" * len(heads)]
    for page, timed in sorted(slow.items(), key=lambda one: -one[1][last].median_ms):
        medians = [f"{timed[year].median_ms:.0f}" for year in years]
        end = timed[last]
        cells = [*medians, f"{end.p95_ms:.0f}", str(end.statements), f"{end.sql_ms:.1f}", f"{slope(_curve(timed)):.2f}"]
        lines.append(f"| `{page}` | {' | '.join(cells)} |")
    lines += ["", f"{len(pages) - len(slow)} more pages stay below {short_ms:g} ms after {last} years."]
    return "\n".join(lines)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("file", type=Path)
    asked.add_argument("--from", dest="short_ms", type=float, default=SHORT_MS)
    given = asked.parse_args()
    print(table(json.loads(given.file.read_text(encoding="utf-8")), given.short_ms))


if __name__ == "__main__":
    main()
