"""One panel cut for the most value, against published optima; the table's first line names its sources.

The room cuts a panel in two stages: first across it, then each segment into strips. What that yields at most is worked out
here by two knapsacks, and what any cuts from edge to edge yield by an exact recursion over normal positions: sums of sizes,
for a cut may always be moved back to one (Beasley 1985). Neither shares anything with the search.
"""

import csv
from functools import cache
from itertools import groupby
from pathlib import Path

import numpy as np
import pytest
from journal import cutting
from journal.cutting.problem import Blank, BoardProblem, SawRules, Search, StockLength

DATA = Path(__file__).parent / "data" / "guillotine_one_panel.csv"
NO_WASTE = SawRules(kerf_crosscut=0, kerf_rip=0, end_trim=0, segment_extra=0, edge_allowance=0)
SOON = {"gcut1", "gcut2", "gcut3", "gcut5"}  # the others take seconds


def instances():
    lines = [line for line in DATA.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    found = []
    for name, rows in groupby(csv.DictReader(lines), key=lambda row: row["instance"]):
        whole = [{key: int(value) for key, value in row.items() if key != "instance"} for row in rows]
        found.append(pytest.param(whole, id=name, marks=[] if name in SOON else pytest.mark.slow))
    return found


def pieces_of(rows):
    return [(row["length"], row["width"], row["value"]) for row in rows]


def normal_positions(sizes, most):
    """Sums of any number of these sizes, 0 and the whole among them."""
    reached = {0}
    for place in range(1, most + 1):
        if any(place - size in reached for size in sizes):
            reached.add(place)
    return np.array(sorted(reached | {most}))


def most_by_any_cuts(pieces, length, width):
    """The most value of a panel cut from edge to edge in any number of stages."""
    along = normal_positions({piece[0] for piece in pieces}, length)
    across = normal_positions({piece[1] for piece in pieces}, width)
    best = np.zeros((len(along), len(across)), dtype=np.int64)
    for long, wide, value in pieces:
        corner = best[np.searchsorted(along, long) :, np.searchsorted(across, wide) :]
        np.maximum(corner, value, out=corner)
    for x, here in enumerate(along):
        first = np.arange(np.searchsorted(along, here // 2, side="right"))  # the smaller part lies first
        rest = np.searchsorted(along, here - along[first], side="right") - 1
        best[x] = np.maximum(best[x], (best[first] + best[rest]).max(axis=0))
        for y, there in enumerate(across):
            first = np.arange(np.searchsorted(across, there // 2, side="right"))
            rest = np.searchsorted(across, there - across[first], side="right") - 1
            best[x, y] = max(best[x, y], (best[x, first] + best[x, rest]).max())
    return int(best[-1, -1])


def most_by_two_stages(pieces, length, width):
    """The most value when the first cuts part the length and the second ones the width, every piece as long as it likes."""

    def fill(items, room):
        @cache
        def best(left):
            return max((value + best(left - size) for size, value in items if size <= left), default=0)

        for left in range(room):
            best(left)  # from below, or the recursion goes too deep
        return best(room)

    segments = [
        (long, fill([(wide, value) for other, wide, value in pieces if other <= long], width))
        for long in sorted({piece[0] for piece in pieces})
    ]
    return fill(segments, length)


def as_bought(rows):
    """The panel for nothing, cut first either way; each piece left out is bought at its value from stock of its own."""
    length, width = rows[0]["panel_length"], rows[0]["panel_width"]
    stock = [StockLength("panel", "panel", 1, width, length, price_cents=0, available=1, on_hand=True, either_way=True)]
    blanks = []
    for row in rows:
        own, families = f"left out {row['piece']}", frozenset({"panel", f"left out {row['piece']}"})
        stock.append(StockLength(own, own, 1, row["width"], row["length"], price_cents=row["value"]))
        many = (length // row["length"]) * (width // row["width"])
        blanks.append(Blank(f"piece {row['piece']}", families, 1, row["width"], row["length"], many))
    return BoardProblem(tuple(stock), tuple(blanks), NO_WASTE)


@pytest.mark.parametrize("rows", instances())
def test_the_panel_plan_is_worth_what_two_stages_yield_and_any_cuts_yield_the_published_optimum(rows):
    pieces, sides = pieces_of(rows), (rows[0]["panel_length"], rows[0]["panel_width"])
    turned = [(wide, long, value) for long, wide, value in pieces]
    two_stages = max(most_by_two_stages(pieces, *sides), most_by_two_stages(turned, *sides[::-1]))
    assert two_stages <= most_by_any_cuts(pieces, *sides) == rows[0]["optimum"]
    job = as_bought(rows)
    quick, thorough = cutting.plan(job), cutting.plan(job, Search(seconds=20))
    whole = sum(blank.quantity * row["value"] for blank, row in zip(job.blanks, rows, strict=True))
    assert whole - quick.cost_cents <= two_stages <= whole - quick.bound_cents
    assert (whole - thorough.cost_cents, thorough.status) == (two_stages, "optimal")


def test_the_recursion_fills_a_small_panel_as_by_hand():
    # By hand: 5 × 4 takes a 3 × 4 and beside it a 2 × 4 (12 + 8), or two of 2 × 2 where those are worth more (12 + 5 + 5).
    assert most_by_any_cuts([(3, 4, 12), (2, 4, 8), (2, 2, 3)], 5, 4) == 20
    assert most_by_any_cuts([(3, 4, 12), (2, 2, 5)], 5, 4) == 22
