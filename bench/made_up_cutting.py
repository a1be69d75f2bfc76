# ruff: noqa: S311 - the dice are for made-up problems
"""Made-up cutting problems of the sorts a shop meets, the same for the same seed.

    python -m bench.made_up_cutting DIR [--seed N]

writes one file each, in the format that `journal cut` reads. Lengths are 1/64 in, money is cents.
"""

from __future__ import annotations

import argparse
import json
import random
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable

Row = dict[str, Any]

INCH = 64
SECTIONS = {"2x4": 3.5, "2x6": 5.5, "2x8": 7.25, "2x10": 9.25, "2x12": 11.25}  # width, in
FEET = (8, 10, 12, 14, 16)
RULES = {"kerf": 8, "end_trim": 32, "rough_len_extra": 160, "width_extra": 8, "edge_allow": 8, "thick_allow": 8}
SHEET_RULES = {"kerf": 8, "end_trim": 16, "rough_len_extra": 0, "width_extra": 0, "edge_allow": 32, "thick_allow": 0}


def shared_out(dice: random.Random, kinds: int, pieces: int) -> list[int]:
    """How many of each kind: one at least, many of the first few."""
    found = [1] * kinds
    for number in dice.choices(range(kinds), [1 / (1 + number) for number in range(kinds)], k=pieces - kinds):
        found[number] += 1
    return found


def lumber(dice: random.Random, sections: int) -> list[Row]:
    """Dimensional boards in several lengths, longer ones dearer by the foot, prices ending in 8."""
    rows = []
    for name in sorted(dice.sample(sorted(SECTIONS), sections)):
        foot = SECTIONS[name] * dice.uniform(12, 16)
        for feet in FEET:
            price = int(foot * feet * (1 + 0.01 * (feet - 8)) * dice.uniform(0.96, 1.04)) // 10 * 10 + 8
            width = int(SECTIONS[name] * INCH)
            rows.append({"id": f"{name}-{feet}", "T": 96, "W": width, "L": feet * 12 * INCH, "price": price})
    return rows


def parts(dice: random.Random, quantities: list[int], widths: list[int], longest: int = 92 * INCH) -> list[Row]:
    """Parts of these widths and any length by the eighth of an inch."""
    return [
        {"id": f"p{number}", "T": 80, "W": dice.choice(widths), "L": dice.randrange(10 * INCH, longest, 8), "qty": qty}
        for number, qty in enumerate(quantities)
    ]


def widths_of(dice: random.Random, how_many: int, stock: list[Row]) -> list[int]:
    """Rough widths from 1¾ to 5 in that the widest section holds."""
    widest = max(row["W"] for row in stock) - 16
    return sorted(dice.sample(range(112, min(widest, 5 * INCH), 8), how_many))


def boards(kinds: int, pieces: int, *, sections: int, widths: int) -> Callable[[random.Random], Row]:
    """The everyday job: parts of a few widths from boards of several sections and lengths."""

    def make(dice: random.Random) -> Row:
        stock = lumber(dice, sections)
        quantities = shared_out(dice, kinds, pieces)
        return RULES | {"stock": stock, "parts": parts(dice, quantities, widths_of(dice, widths, stock))}

    return make


def equal_benches(dice: random.Random) -> Row:
    """Few kinds, many of each: tops and legs of a dozen benches."""
    stock = lumber(dice, 2)
    return RULES | {"stock": stock, "parts": parts(dice, [96, 72, 48, 48, 24, 24], widths_of(dice, 2, stock))}


def rack_first(dice: random.Random) -> Row:
    """Boards on the rack for nothing, each once, of any length; the rest bought."""
    stock = lumber(dice, 3)
    for number in range(14):
        like = dice.choice(stock)
        rack = {"id": f"rack {number}", "L": dice.randrange(20 * INCH, 140 * INCH, 16), "price": 0, "avail": 1}
        stock.append(like | rack | {"onhand": True})
    return RULES | {"stock": stock, "parts": parts(dice, shared_out(dice, 16, 80), widths_of(dice, 4, stock))}


def last_few(dice: random.Random) -> Row:
    """Only a few boards of each length are there."""
    stock = [row | {"avail": dice.randrange(2, 7)} for row in lumber(dice, 3)]
    return RULES | {"stock": stock, "parts": parts(dice, shared_out(dice, 15, 70), widths_of(dice, 3, stock))}


def by_the_dozen(dice: random.Random) -> Row:
    """Cheaper from six boards on, and again from twelve."""
    stock = [
        row | {"breaks": [[6, int(0.95 * row["price"])], [12, int(0.9 * row["price"])]]} for row in lumber(dice, 2)
    ]
    return RULES | {"stock": stock, "parts": parts(dice, shared_out(dice, 14, 90), widths_of(dice, 3, stock))}


def knots(dice: random.Random) -> Row:
    """Boards on the rack with knots that no part may lie over."""
    stock = lumber(dice, 2)
    for number in range(8):
        like = dice.choice(stock)
        place = dice.randrange(10 * INCH, like["L"] - 20 * INCH)
        row = {"id": f"rack {number}", "price": dice.choice([0, 300]), "avail": 1, "onhand": True}
        stock.append(like | row | {"cut_outs": [[place, place + 3 * INCH]]})
    return RULES | {"stock": stock, "parts": parts(dice, shared_out(dice, 12, 60), widths_of(dice, 3, stock))}


def random_widths(dice: random.Random) -> Row:
    """Hardwood at the rack: every board of its own width and length, once each; few kinds of part."""
    stock = []
    for number in range(36):
        width, length = dice.randrange(5 * INCH, 11 * INCH, 16), dice.randrange(72 * INCH, 150 * INCH, 32)
        price = int(width * length / (144 * INCH * INCH) * 900)
        stock.append({"id": f"oak {number}", "T": 128, "W": width, "L": length, "price": price, "avail": 1})
    return RULES | {"stock": stock, "parts": parts(dice, shared_out(dice, 6, 44), [112, 144, 208], 68 * INCH)}


def sheets(kinds: int, pieces: int, *, turning: bool, offcuts: int = 0) -> Callable[[random.Random], Row]:
    """Panels from 4 × 8 ft sheets, cut first either way."""

    def make(dice: random.Random) -> Row:
        stock = [{"id": "ply", "T": 48, "W": 48 * INCH, "L": 96 * INCH, "price": 7450, "either_way": True}]
        for number in range(offcuts):
            width, length = dice.randrange(10 * INCH, 30 * INCH, 32), dice.randrange(20 * INCH, 60 * INCH, 32)
            stock.append(stock[0] | {"id": f"offcut {number}", "W": width, "L": length, "price": 0, "avail": 1})
            stock[-1]["onhand"] = True
        rows = [
            {
                "id": f"panel {number}",
                "T": 48,
                "W": dice.randrange(6 * INCH, 24 * INCH, 8),
                "L": dice.randrange(8 * INCH, 48 * INCH, 8),
                "qty": qty,
                "may_turn": turning and dice.random() < 0.6,
            }
            for number, qty in enumerate(shared_out(dice, kinds, pieces))
        ]
        return SHEET_RULES | {"stock": stock, "parts": rows}

    return make


SORTS: dict[str, Callable[[random.Random], Row]] = {
    "boards_10_40": boards(10, 40, sections=2, widths=3),
    "boards_20_100": boards(20, 100, sections=4, widths=5),
    "boards_20_100_any_width": boards(20, 100, sections=3, widths=14),
    "boards_40_200": boards(40, 200, sections=4, widths=5),
    "boards_100_1000": boards(100, 1000, sections=4, widths=6),
    "equal_benches": equal_benches,
    "rack_first": rack_first,
    "last_few": last_few,
    "by_the_dozen": by_the_dozen,
    "knots": knots,
    "random_widths": random_widths,
    "sheets_5_10": sheets(5, 10, turning=False),
    "sheets_12_30": sheets(12, 30, turning=True),
    "sheets_20_60": sheets(20, 60, turning=False),
    "sheets_20_60_turning": sheets(20, 60, turning=True),
    "sheets_15_60_offcuts": sheets(15, 60, turning=True, offcuts=5),
}


def make(sort: str, seed: int) -> Row:
    """One problem of a sort."""
    return SORTS[sort](random.Random(f"{sort} {seed}"))


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("folder", type=Path)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    for sort in SORTS:
        path = given.folder / f"{sort}_{given.seed}.json"
        path.write_text(json.dumps(make(sort, given.seed), indent=1), encoding="utf-8")


if __name__ == "__main__":
    main()
