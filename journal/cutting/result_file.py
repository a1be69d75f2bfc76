"""A cutting plan as JSON: lengths and widths in 1/64 in, money in cents, every board with its cuts in order."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from journal.cutting.problem_file import NM_PER_64TH
from journal.cutting.verify import replay

if TYPE_CHECKING:
    from journal.cutting.problem import BoardProblem, CuttingResult
    from journal.cutting.verify import PlacedStrip


def as_json(problem: BoardProblem, result: CuttingResult, *, seconds: float) -> dict[str, Any]:
    """Everything about a plan that another program may want; sizes that are no whole 64ths become decimals.

    `plan` has the boards, `segments` from one end to the other, `strips` the ids of their parts from one edge to the
    other; `cuts` the same with positions: `at` from the board's first end, `across` from its first edge.
    """
    found = replay(problem, result)
    by_board: dict[int, list[PlacedStrip]] = {}
    for strip in found.strips:
        by_board.setdefault(strip.board, []).append(strip)
    balance = {
        name: _area(getattr(found.balance, name))
        for name in ("board", "blanks", "allowances", "kerf", "trims", "cut_outs", "offcuts")
    }
    return {
        "status": result.status,
        "cost": result.cost_cents,
        "bound": result.bound_cents,
        "bound_kind": result.bound_kind,
        "certified_bound": result.certified_cents,
        "gap": result.gap,
        "fewest_boards_proven": result.fewest_boards,
        "ended": result.ended,
        "time_s": round(seconds, 3),
        "method": result.method,
        "shopping": dict(result.shopping),
        "from_rack": dict(result.from_rack),
        "plan": [
            {
                "stock": board.stock_id,
                "crosswise": board.crosswise,
                "segments": [
                    {
                        "length": _size(segment.length),
                        "stretch": segment.stretch,
                        "strips": list(segment.blanks),
                        "turned": list(segment.turned),
                    }
                    for segment in board.segments
                ],
                "cuts": [_cut(strip) for strip in by_board.get(number, [])],
            }
            for number, board in enumerate(result.plan.boards)
        ],
        "offcuts": [
            {
                "board": offcut.board,
                "stock": offcut.stock_id,
                "width": _size(offcut.width),
                "length": _size(offcut.length),
            }
            for offcut in result.offcuts
        ],
        "balance": balance,
        "dual_certificate": {"scale": result.certificate.scale, "worth": dict(result.certificate.worth)},
    }


def _cut(strip: PlacedStrip) -> dict[str, Any]:
    return {
        "part": strip.blank_id,
        "segment": strip.segment,
        "at": _size(strip.along),
        "across": _size(strip.across),
        "length": _size(strip.length),
        "width": _size(strip.width),
        "turned": strip.turned,
    }


def _size(length: int) -> int | float:
    return _plain(Fraction(length, NM_PER_64TH))


def _area(area: int) -> int | float:
    return _plain(Fraction(area, NM_PER_64TH**2))


def _plain(number: Fraction) -> int | float:
    return number.numerator if number.denominator == 1 else float(number)
