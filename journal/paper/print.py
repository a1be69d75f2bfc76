"""The cut sheet of a project as a PDF: one board a row, the lists after them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal import units
from journal.paper.press import press
from journal.paper.svg import board_svg, describe
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from journal.paper.cut_sheet import BoardRow, CutSheet, Step

_SOURCE = Path(__file__).with_name("cut_sheet.typ")
_ROOM = {"us-letter": 792 - 26 / 25.4 * 72, "a4": 841.89 - 26 / 25.4 * 72}  # points between the margins, lying across
_NM_PER_POINT = units.NM_PER_INCH / 72


@dataclass(frozen=True, slots=True)
class StockSheet:
    """The boards of one stock: what it is called, what its plan is worth, and the sheet."""

    title: str
    summary: str
    sheet: CutSheet


@dataclass(frozen=True, slots=True)
class CutSheetPaper:
    """What is printed.

    Attributes:
        title, project: on top.
        day: of printing.
        paper: "us-letter" or "a4".
        system, denominator, mark: how lengths are written.
        stocks: one after the other.
    """

    title: str
    project: str
    day: date
    paper: str
    system: units.System
    denominator: int
    stocks: Sequence[StockSheet]
    mark: units.Mark = units.Mark.POINT


def cut_sheet_pdf(printed: CutSheetPaper) -> bytes:
    """The PDF; the same values give the same bytes."""
    return press(_SOURCE, _plain(printed), printed.day)


def _plain(printed: CutSheetPaper) -> dict[str, Any]:
    return {
        "title": printed.title,
        "project": printed.project,
        "day": f"{printed.day.day} {printed.day:%B %Y}",
        "paper": printed.paper,
        "how": "Crosscut from the left, then rip from the top down. Rough sizes: what is milled off is still on them.",
        "stocks": [_stock(stock, place, printed) for place, stock in enumerate(printed.stocks)],
    }


def _stock(stock: StockSheet, place: int, printed: CutSheetPaper) -> dict[str, Any]:
    def size(length_nm: int, width_nm: int) -> str:
        sizes = (
            units.format_length(nm, printed.system, denominator=printed.denominator) for nm in (length_nm, width_nm)
        )
        return units.marked(" × ".join(sizes), printed.mark)

    sheet = stock.sheet
    one_to = _one_to(sheet, printed.paper)
    widths = f", widths {sheet.times} times as large" if sheet.times > 1 else ""
    return {
        "title": f"{stock.title}: {counted(len(sheet.boards), sheet.piece)}",
        "summary": f"{stock.summary} Lengths are drawn 1 to {one_to}{widths}.".strip(),
        "unit": 1 / (one_to * _NM_PER_POINT * sheet.per_nm),
        "boards": [_board(row, f"s{place}-b{row.number}") for row in sheet.boards],
        "parts": [
            {
                "letter": one.letter,
                "part": one.part,
                "pieces": str(one.pieces),
                "size": size(one.length_nm, one.width_nm),
            }
            for one in sheet.parts
        ],
        "offcuts": [
            {"name": one.name, "board": str(one.board), "size": size(one.length_nm, one.width_nm)}
            for one in sheet.offcuts
        ],
        "balance": [
            [
                name,
                *(
                    units.marked(text, printed.mark)
                    for text in (f"{share:.1%}", units.format_area(area_nm2, printed.system))
                ),
            ]
            for name, share, area_nm2 in sheet.balance
        ],
    }


def _one_to(sheet: CutSheet, paper: str) -> int:
    """The smallest whole number of times that the boards must be drawn shorter than they are to lie on the paper."""
    widest = max(row.width for row in sheet.boards) / sheet.per_nm
    return math.ceil(widest / _NM_PER_POINT / _ROOM[paper])


def _board(row: BoardRow, name: str) -> dict[str, Any]:
    return {
        "title": row.title,
        "width": row.width,
        "svg": board_svg(row, name, printed=True),
        "described": describe(row),
        "steps": [_step(step) for step in row.steps],
        "rest": row.rest,
    }


def _step(step: Step) -> dict[str, str]:
    rips = " | ".join(f"{name} {width}" for name, width in step.strips)
    return {"cut": f"{step.order}. {step.length}:", "rips": rips + (f" | {step.left}" if step.left else "")}
