"""Sheets: the same search with both ways to cut a sheet first, blanks without grain turned as it suits, and edge trims.

A sheet is parted by straight cuts through it into segments, each segment by straight cuts into strips, one blank a strip;
a blank shorter than its segment is trimmed. Offcut pieces of sheets are stock on hand, each with its own size.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from journal.cutting.problem import BoardProblem, SawRules
from journal.units import System

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.cutting.problem import Blank, StockLength


def sheet_problem(
    sheets: Sequence[StockLength], blanks: Sequence[Blank], *, kerf: int, edge_trim: int, system: System = System.INCH
) -> BoardProblem:
    """A problem of sheets that may each be cut first either way.

    Args:
        sheets: whole sheets and offcut pieces; their length runs with the grain.
        blanks: to be cut; those that `may_turn` need not run with the grain.
        kerf: of every cut.
        edge_trim: cut off each of the four edges, its kerf included.
        system: how lengths are written in messages.

    Raises:
        BadInput: as `BoardProblem` does.
    """
    rules = SawRules(
        kerf_crosscut=kerf, kerf_rip=kerf, end_trim=edge_trim, segment_extra=0, edge_allowance=2 * edge_trim
    )
    return BoardProblem(tuple(replace(sheet, either_way=True) for sheet in sheets), tuple(blanks), rules, system)
