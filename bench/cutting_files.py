"""Cutting instances as files: the shop's own board format, sizes in one dimension, and panels, read into one kind of problem.

What is known of an instance comes with it: a cost that some plan is known to reach, and a cost that none can stay under.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from journal.cutting.problem import Blank, BoardProblem, SawRules, StockLength
from journal.cutting.problem_file import read_problem

if TYPE_CHECKING:
    from pathlib import Path

NO_WASTE = SawRules(kerf_crosscut=0, kerf_rip=0, end_trim=0, segment_extra=0, edge_allowance=0)


@dataclass(frozen=True, slots=True)
class Instance:
    """A problem and what is known of it.

    Attributes:
        name: of the file, and the way of cutting where a file holds two.
        problem: in the terms of the cutting room.
        reached: cost of the best plan known, None when none is; no bound may be above it.
        floor: cost that no plan can stay under, None when none is known.
    """

    name: str
    problem: BoardProblem
    reached: int | None = None
    floor: int | None = None


def read_instances(path: Path) -> list[Instance]:
    """The instances of one file: a board problem, or one whose `kind` says what it is."""
    text = path.read_text(encoding="utf-8")
    data = json.loads(text)
    readers = {
        "cut1d": _one_dimension,
        "panels_two_stage": _panels,
        "value_constrained": _most_value,
        "guillotine_value_unconstrained": _most_value,
    }
    if "kind" in data:
        return readers[data["kind"]](path.stem, data)
    known = data.get("proven", {})
    return [Instance(path.stem, read_problem(text), known.get("best_cost"), known.get("lower_bound"))]


def _one_dimension(name: str, data: dict[str, Any]) -> list[Instance]:
    """Lengths to be crosscut from bars at one cent each."""
    bar = StockLength("bar", "bar", 1, 1, data["capacity"], price_cents=1)
    blanks = tuple(Blank(str(row["length"]), None, 1, 1, row["length"], row["qty"]) for row in data["items"])
    return [Instance(name, BoardProblem((bar,), blanks, NO_WASTE), data.get("best_known"), data.get("optimum"))]


def _panels(name: str, data: dict[str, Any]) -> list[Instance]:
    """Sheets at one cent each, cut first across their length."""
    rules = SawRules(data["kerf"], data["kerf"], end_trim=0, segment_extra=0, edge_allowance=0)
    sheet = StockLength("sheet", "sheet", 1, data["panel"]["w"], data["panel"]["l"], price_cents=1)
    blanks = tuple(Blank(row["id"], None, 1, row["w"], row["l"], row["qty"]) for row in data["parts"])
    optimum = data.get("optimum_panels")
    return [Instance(name, BoardProblem((sheet,), blanks, rules), optimum, optimum)]


def _most_value(name: str, data: dict[str, Any]) -> list[Instance]:
    """One panel to be filled with the most value, cut first either way.

    A piece left out is bought at its value, from stock that nothing else may come from: the cost is then the value of all
    pieces less that on the panel. Without a limit there are as many of each as the panel could hold of it alone.
    """
    width, height = data["width"], data["height"]
    rows = [(row, row.get("qty", (width // row["w"]) * (height // row["h"]))) for row in data["items"]]
    whole = sum(row["value"] * count for row, count in rows)
    known = {
        "high": data.get("optimum_two_stage_vertical_first"),
        "flat": data.get("optimum_two_stage_horizontal_first"),
    }
    ceiling = data.get("optimum", data.get("upper_bound_non_guillotine"))
    found = []
    for way, value in known.items():
        along, across = ("w", "h") if way == "high" else ("h", "w")
        room = (width, height) if way == "high" else (height, width)
        stock = [StockLength("panel", "panel", 1, room[1], room[0], price_cents=0, available=1, on_hand=True)]
        blanks = []
        for number, (row, count) in enumerate(rows):
            own = f"left out {number}"
            stock.append(StockLength(own, own, 1, row[across], row[along], price_cents=row["value"]))
            families = frozenset({"panel", own})
            blanks.append(Blank(f"piece {number}", families, 1, row[across], row[along], count))
        problem = BoardProblem(tuple(stock), tuple(blanks), NO_WASTE)
        found.append(
            Instance(f"{name} {way}", problem, None if value is None else whole - value, whole - (value or ceiling))
        )
    return found
