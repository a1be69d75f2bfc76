"""Draws and prints for the desk: a bench's drawing as SVG text that carries its own colours, the paper as PDF."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.sax.saxutils import escape, quoteattr

from journal import units
from journal.desk.quote_content import Drawing
from journal.paper.quote import quote_paper
from journal.paper.quote_print import quote_pdf
from journal.web.drawings import bench_figure

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from journal.build.drawing import Drawn
    from journal.desk.quote_content import Content
    from journal.desk.shop import ShopView
    from journal.web.drawings import BenchFigure, DimensionLine, Sheet

# A family the printing program brings along; black on white, as everything that is sent to a client.
_LETTERS = 'font-family="Libertinus Serif, serif" font-size="12" fill="#000"'


class Press:
    """What desk.quoting asks for."""

    def draw(self, views: Sequence[Drawn], title: str, shop: ShopView) -> Drawing:
        """Three views to scale with their dimensions."""
        system, denominator, mark = shop.system, shop.row.denominator, shop.row.decimal_mark

        def say(length_nm: int) -> str:
            return units.marked(units.format_length(length_nm, system, denominator=denominator), mark)

        figure = bench_figure("drawing", title, views, say, system)
        return Drawing(bench_svg(figure), figure.description)

    def print(self, content: Content, *, draft: bool) -> bytes:
        """The paper."""
        return quote_pdf(quote_paper(content, draft=draft))


def bench_svg(figure: BenchFigure) -> str:
    """A bench's drawing as one SVG text; every text in it escaped, no style sheet needed."""
    sheet = figure.wide
    return "".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} {sheet.height:g}" role="img">',
            f"<title>{escape(figure.title)}</title><desc>{escape(figure.description)}</desc>",
            f'<rect width="{sheet.width:g}" height="{sheet.height:g}" fill="#fff"/>',
            *_shapes(sheet),
            *(_dimension(line) for line in sheet.dimensions),
            *(_text(title.text, title.x, title.y) for title in sheet.titles),
            "</svg>",
        )
    )


def _shapes(sheet: Sheet) -> Iterator[str]:
    for face in sheet.faces:
        place = f'x="{face.x}" y="{face.y}" width="{face.width}" height="{face.height}"'
        yield f'<rect {place} fill="#fff" stroke="#000" stroke-width="0.9"/>'
        if face.seams:
            yield f'<path d="{face.seams}" fill="none" stroke="#777" stroke-width="0.4"/>'
    for hole in sheet.rounds:
        yield f'<circle cx="{hole.x}" cy="{hole.y}" r="{hole.r}" fill="#000"/>'
    if sheet.bar:
        bar = sheet.bar
        yield f'<rect x="{bar.x}" y="{bar.y}" width="{bar.width}" height="4" fill="#000"/>'
        yield _text(bar.text, bar.x, bar.text_y)


def _dimension(line: DimensionLine) -> str:
    turn = f' transform="rotate(-90 {line.x} {line.y})"' if line.turned else ""
    path = f'<path d="{line.path}" fill="none" stroke="#000" stroke-width="0.6"/>'
    return path + _text(line.text, line.x, line.y, f" text-anchor={quoteattr(line.anchor)}{turn}")


def _text(text: str, x: float, y: float, more: str = "") -> str:
    return f'<text x="{x}" y="{y}" {_LETTERS}{more}>{escape(text)}</text>'
