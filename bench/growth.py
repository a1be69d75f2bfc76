"""How time grows with the years behind a shop: the slope on log-log paper of each page, and the picture of it.

A slope of 0 is a page that years do not slow, 1 is one that grows with its data, more than 1 is what must not be.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

Curve = dict[int, float]  # years → milliseconds

LINEAR = 1.0
_DOUBT = 0.1  # a slope is taken from medians of a few rounds each
_WIDE, _HIGH, _LEFT, _TOP, _NAMES = 620, 380, 60, 20, 300
_DASHES = ("", "8 3", "2 3", "8 3 2 3")


def slope(curve: Curve) -> float:
    """The steepest rise between two neighbouring sizes, of ln(time) against ln(years)."""
    years = sorted(curve)
    if len(years) < 2:
        raise ValueError("a slope needs two sizes or more")
    return max(math.log(curve[late] / curve[early]) / math.log(late / early) for early, late in pairwise(years))


def too_steep(curves: Mapping[str, Curve]) -> list[tuple[str, float]]:
    """The pages that grow faster than their data, the worst first."""
    found = [(name, slope(curve)) for name, curve in curves.items()]
    return sorted(((name, rise) for name, rise in found if rise > LINEAR + _DOUBT), key=lambda one: -one[1])


def picture(curves: Mapping[str, Curve], most: int = 8) -> str:
    """The slowest pages over the years as SVG, both axes logarithmic, with a line of slope 1 to hold them against."""
    last = max(year for curve in curves.values() for year in curve)
    shown = sorted(curves.items(), key=lambda one: -one[1][last])[:most]
    years = sorted({year for _, curve in shown for year in curve})
    times = [time for _, curve in shown for time in curve.values()]
    paper = _Paper(years[0], last, 10 ** math.floor(math.log10(min(times))), 10 ** math.ceil(math.log10(max(times))))
    parts = [_axes(paper, years), paper.line({years[0]: paper.low, last: paper.low * last / years[0]}, "#999", "1 4")]
    for place, (name, curve) in enumerate(shown):
        parts.append(paper.line(curve, "currentColor", _DASHES[place % len(_DASHES)]))
        parts.append(_name(paper, name, curve, place))
    width, height = _LEFT + _WIDE + _NAMES, _TOP + _HIGH + 50
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" font-family="sans-serif" font-size="12">'
    return "\n".join([head, *parts, "</svg>"])


class _Paper:
    """Where years and milliseconds lie."""

    def __init__(self, first: int, last: int, low: float, high: float) -> None:
        self.first, self.last, self.low, self.high = first, last, low, high

    def at(self, year: float, time: float) -> tuple[float, float]:
        right = math.log(year / self.first) / math.log(self.last / self.first)
        up = math.log(time / self.low) / math.log(self.high / self.low)
        return _LEFT + right * _WIDE, _TOP + (1 - up) * _HIGH

    def line(self, curve: Curve, colour: str, dashes: str) -> str:
        points = " ".join("{:.1f},{:.1f}".format(*self.at(year, curve[year])) for year in sorted(curve))
        return f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-dasharray="{dashes}"/>'


def _axes(paper: _Paper, years: Sequence[int]) -> str:
    marks = []
    for year in years:
        right, bottom = paper.at(year, paper.low)
        marks.append(f'<text x="{right:.1f}" y="{bottom + 18:.1f}" text-anchor="middle">{year}</text>')
    time = paper.low
    while time <= paper.high * 1.001:
        left, up = paper.at(paper.first, time)
        marks.append(f'<text x="{left - 8:.1f}" y="{up + 4:.1f}" text-anchor="end">{time:g}</text>')
        marks.append(f'<path d="M{left:.1f} {up:.1f}h{_WIDE}" stroke="#ccc"/>')
        time *= 10
    middle = _LEFT + _WIDE / 2
    marks.append(f'<text x="{middle:.0f}" y="{_TOP + _HIGH + 40}" text-anchor="middle">years behind the shop</text>')
    marks.append(f'<text x="4" y="{_TOP - 6}">median, ms; dotted grey: twice the data, twice the time</text>')
    return "\n".join(marks)


def _name(paper: _Paper, name: str, curve: Curve, place: int) -> str:
    """Beside the picture in the order of the last values, with a line to where the curve ends."""
    right, up = paper.at(max(curve), curve[max(curve)])
    row = _TOP + 14 + 26 * place
    said = name.replace("&", "&amp;").replace("<", "&lt;")
    told = f'<text x="{right + 34:.1f}" y="{row + 4}">{said} ({slope(curve):.2f})</text>'
    return f'<path d="M{right:.1f} {up:.1f}L{right + 30:.1f} {row}" stroke="#999" fill="none"/>{told}'
