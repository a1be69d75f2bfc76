"""The drawing of a board as SVG text; classes on a page, the same with colours of its own on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

if TYPE_CHECKING:
    from journal.paper.cut_sheet import BoardRow, Mark, Piece

# Black on white, and a family that the printing program brings along.
_PRINTED = (
    ".cut-board{fill:#ddd;stroke:#000;stroke-width:1.2}.cut-strip{fill:#fff;stroke:#000;stroke-width:.8}"
    ".cut-offcut{fill:none;stroke:#000;stroke-width:.8;stroke-dasharray:3 2}"
    '.cut-label,.cut-mark{font-family:"DejaVu Sans Mono";font-size:9.5px;fill:#000}'
    ".cut-mark{text-anchor:middle;font-weight:700}.cut-label--offcut{font-size:8.5px}"
)


def board_svg(row: BoardRow, name: str, *, printed: bool = False) -> str:
    """One board as an SVG element.

    Args:
        row: the board, laid out.
        name: unique on the page; the ids of its title and description start with it.
        printed: carry its own colours and letters instead of leaving them to the page's stylesheet.
    """
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="cut-svg" viewBox="0 0 {row.width:g} {row.height:.1f}"'
        f' role="img" aria-labelledby="{name}-title" aria-describedby="{name}-desc">'
    )
    parts = [
        head,
        f'<title id="{name}-title">{escape(row.title)}</title>',
        f'<desc id="{name}-desc">{escape(describe(row))}</desc>',
        f"<style>{_PRINTED}</style>" if printed else "",
        _rect("cut-board", row.x, row.y, row.long, row.high),
        *(_piece(piece) for piece in row.pieces),
        *(_mark(mark, row.y) for mark in row.marks),
        "</svg>",
    ]
    return "".join(parts)


def describe(row: BoardRow) -> str:
    """The cuts of a board in words."""
    told = []
    for step in row.steps:
        rips = ", ".join(f"{name} {width}" for name, width in step.strips)
        told.append(
            f"{step.order}. Crosscut {step.length}; rip {rips}" + (f"; {step.left} is left" if step.left else "")
        )
    if row.rest:
        told.append(f"At the end {row.rest} is left")
    return ". ".join(told) + "."


def _piece(piece: Piece) -> str:
    drawn = _rect(f"cut-{piece.kind}", piece.x, piece.y, piece.width, piece.height)
    if not piece.label:
        return drawn
    y = piece.y + piece.height / 2 + 3.5
    return f'{drawn}<text class="cut-label cut-label--{piece.kind}" x="{piece.x + 4:.1f}" y="{y:.1f}">{escape(piece.label)}</text>'


def _mark(mark: Mark, top: float) -> str:
    if not mark.text:
        return ""
    return f'<text class="cut-mark" x="{mark.x:.1f}" y="{top - 5:.1f}">{escape(mark.text)}</text>'


def _rect(kind: str, x: float, y: float, width: float, height: float) -> str:
    return f'<rect class="{kind}" x="{x:.2f}" y="{y:.2f}" width="{width:.2f}" height="{height:.2f}"/>'
