"""Geometry of a bench's drawing: views in nm in, places on the sheet out, so that a template only writes them down.

Three views at one scale: the front, the right end beside it, the view from above over it; the dimensions around them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal import units
from journal.build.drawing import View

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from journal.build.drawing import Drawn, Face, Span

_LETTER = 6.6  # units of width a figure's letter takes at its size, rounded up
_LINE = 13.0  # from one text under another to the next
_TIER = 22.0  # from one row of dimensions to the next
_TITLE = 20.0  # room for a view's name over it
_EDGE = 10.0
_MM = " mm"
_BARS = {
    units.System.INCH: (("6 in", units.inches(6)), ("1 ft", units.feet(1)), ("2 ft", units.feet(2))),
    units.System.METRIC: (("100 mm", units.mm(100)), ("250 mm", units.mm(250)), ("500 mm", units.mm(500))),
}


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A piece in a view, y downwards; `seams` is the path of its glue lines, '' without any."""

    label: str
    x: float
    y: float
    width: float
    height: float
    seams: str = ""


@dataclass(frozen=True, slots=True)
class Circle:
    """A hole in a view."""

    x: float
    y: float
    r: float


@dataclass(frozen=True, slots=True)
class DimensionLine:
    """A dimension: a path with its ticks and extensions, and its text; upright text reads from below."""

    path: str
    text: str
    x: float
    y: float
    anchor: str
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Title:
    """The name of a view."""

    text: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class ScaleBar:
    """A length at the drawing's own scale, its text over it."""

    text: str
    x: float
    y: float
    width: float
    text_y: float


@dataclass(frozen=True, slots=True)
class Sheet:
    """A drawing on a sheet of so many units."""

    width: float
    height: float
    faces: tuple[Rectangle, ...]
    rounds: tuple[Circle, ...]
    dimensions: tuple[DimensionLine, ...]
    titles: tuple[Title, ...]
    bar: ScaleBar | None
    floor: float  # y of the floor under the front view


@dataclass(frozen=True, slots=True)
class BenchFigure:
    """One bench drawn for a wide and a narrow page, with its text alternative."""

    name: str
    title: str
    description: str
    wide: Sheet
    narrow: Sheet


def bench_figure(
    name: str, title: str, views: Sequence[Drawn], say: Callable[[int], str], system: units.System
) -> BenchFigure:
    """The drawing of a bench.

    Args:
        name: unique on the page; the drawing's ids start with it.
        title: what is drawn.
        views: from the front, the right end and above.
        say: writes a length with its unit.
        system: of the scale bar.
    """
    front, side, _ = views
    sizes = f"{_both(front, 'long', say)}, {_both(side, 'deep', say)}, {say(front.height_nm)} high"
    seen = {view.view: ", ".join(dict.fromkeys(face.label for face in view.faces)) for view in views}
    description = (
        f"{sizes}. From the front: {seen[View.FRONT]}. From the right end: {seen[View.SIDE]}. "
        f"From above: {seen[View.TOP]}."
    )
    wide = _Plate(views, say, system, width=700.0, tallest=250.0).sheet()
    # On a phone millimetres are said once, so that a text keeps between its lines.
    bare = system is units.System.METRIC and all(say(size).endswith(_MM) for size in _sizes(views))
    short = (lambda length_nm: say(length_nm).removesuffix(_MM)) if bare else say
    narrow = _Plate(views, short, system, width=328.0, tallest=190.0, note="sizes in mm" if bare else "").sheet()
    return BenchFigure(name, f"{title}, three views to scale", description, wide, narrow)


def _sizes(views: Sequence[Drawn]) -> list[int]:
    """Everything that a dimension may say."""
    outer = [size for view in views for size in (view.width_nm, view.height_nm)]
    return outer + [span.end_nm - span.start_nm for view in views for span in view.spans]


def thumbnail(front: Drawn, width: float = 240.0, height: float = 120.0) -> Sheet:
    """The front view alone, without dimensions, in a sheet of this size."""
    scale = min((width - 2 * _EDGE) / front.width_nm, (height - 2 * _EDGE) / front.height_nm)
    left = (width - front.width_nm * scale) / 2
    faces = _faces(front, left, height - _EDGE, scale)
    return Sheet(width, height, faces, (), (), (), None, height - _EDGE)


@dataclass(frozen=True, slots=True)
class _Tiered:
    """A dimension in its row, 0 nearest to the view."""

    span: Span
    tier: int


class _Plate:
    """One layout of the three views on a sheet."""

    def __init__(
        self,
        views: Sequence[Drawn],
        say: Callable[[int], str],
        system: units.System,
        *,
        width: float,
        tallest: float,
        note: str = "",
    ) -> None:
        self.front, self.side, self.top = views
        self.say = say
        self.system = system
        self.width = width
        self.note = note
        # Upright dimensions of the front and the top stand at their right; the gap must hold their texts.
        upright = [span for view in (self.front, self.top) for span in view.spans if span.upright]
        texts = max((len(say(span.end_nm - span.start_nm)) for span in upright), default=0)
        rows = max(max(_tiers(view, upright=True), default=-1) for view in (self.front, self.top)) + 1
        self.gap = max(26.0, 14 + rows * (texts * _LETTER + 12))
        self.left = _EDGE + 1.6 * _TIER
        broad = self.front.width_nm + self.side.width_nm
        room = width - self.left - self.gap - _EDGE
        self.scale = min(room / broad, tallest / max(self.front.height_nm, self.top.height_nm))

    def sheet(self) -> Sheet:
        over = _TITLE + _EDGE
        top_base = over + self.top.height_nm * self.scale
        below_top = _TIER * (1 + max(_tiers(self.top, upright=False), default=-1))
        base = top_base + below_top + _TITLE + 16 + self.front.height_nm * self.scale
        side_x = self.left + self.front.width_nm * self.scale + self.gap
        places = ((self.front, self.left, base), (self.side, side_x, base), (self.top, self.left, top_base))
        rows = max(1 + max(_tiers(view, upright=False), default=-1) for view in (self.front, self.side))
        height = round(base + _TIER * (rows + 1) + (_LINE + 4 if self.note else _EDGE), 1)
        titles = [self._title(view, x, y) for view, x, y in places]
        if self.note:
            titles.append(Title(self.note, _r(self.left), _r(height - 4)))
        return Sheet(
            width=self.width,
            height=height,
            faces=tuple(face for view, x, y in places for face in _faces(view, x, y, self.scale)),
            rounds=_rounds(self.top, self.left, top_base, self.scale),
            dimensions=tuple(line for view, x, y in places for line in self._dimensions(view, x, y)),
            titles=tuple(titles),
            bar=self._bar(side_x, over),
            floor=_r(base),
        )

    def _title(self, view: Drawn, x: float, y: float) -> Title:
        names = {View.FRONT: "Front", View.SIDE: "Right end", View.TOP: "From above"}
        text = names[view.view]
        return Title(text, self._within(x, text), _r(y - view.height_nm * self.scale - 7))

    def _within(self, x: float, text: str) -> float:
        """Where a text begins that is to begin at a place, as near as it stays on the sheet."""
        return _r(max(0.0, min(x, self.width - len(text) * _LETTER)))

    def _bar(self, x: float, y: float) -> ScaleBar:
        """The longest bar that fits beside the view from above; the shortest, pushed left, where none does."""
        room = self.width - x - _EDGE
        bars = [(text, length_nm * self.scale) for text, length_nm in _BARS[self.system]]
        text, width = max((bar for bar in bars if bar[1] <= room), key=lambda bar: bar[1], default=bars[0])
        begin = min(x, self.width - _EDGE - width, self.width - len(text) * _LETTER)
        return ScaleBar(text, _r(begin), _r(y + 12), _r(width), _r(y + 7))

    def _dimensions(self, view: Drawn, x: float, y: float) -> list[DimensionLine]:
        across, upright = _tiered(view, upright=False), _tiered(view, upright=True)
        lines = [self._across(one.span.start_nm, one.span.end_nm, one.tier, x, y) for one in across]
        lines += _apart([self._upright(view, one, x, y) for one in upright])
        rows = max((one.tier for one in across), default=-1) + 1
        if view.view is not View.TOP:
            outer = self._across(0, view.width_nm, rows, x, y)
            lines += self._named(outer, view.beyond, x, view.width_nm * self.scale) if view.beyond else [outer]
        if view.view is View.FRONT:
            lines.append(self._height(view.height_nm, x, y))
        return lines

    def _across(self, start_nm: int, end_nm: int, tier: int, x: float, y: float) -> DimensionLine:
        a, b = x + start_nm * self.scale, x + end_nm * self.scale
        at = y + _TIER * (tier + 1) - 4
        path = f"M{_r(a)} {_r(y + 3)}V{_r(at + 4)}M{_r(b)} {_r(y + 3)}V{_r(at + 4)}M{_r(a)} {_r(at)}H{_r(b)}"
        text = self.say(end_nm - start_nm)
        return DimensionLine(path + _ticks(a, at) + _ticks(b, at), text, self._middle(a, b, text), _r(at - 4), "middle")

    def _named(self, line: DimensionLine, name: str, x: float, width: float) -> list[DimensionLine]:
        """A dimension with its name: beside its figure where that fits over the line, else under the line."""
        text = f"{line.text} {name}"
        if len(text) * _LETTER <= width:
            return [replace(line, text=text, x=self._middle(x, x + width, text))]
        return [line, DimensionLine("", name, self._middle(x, x + width, name), _r(line.y + 16), "middle")]

    def _middle(self, start: float, end: float, text: str) -> float:
        """The middle between two places, as near as the text stays on the sheet."""
        half = len(text) * _LETTER / 2
        return _r(min(max((start + end) / 2, half), self.width - half))

    def _upright(self, view: Drawn, one: _Tiered, x: float, y: float) -> DimensionLine:
        span = one.span
        a, b = y - span.start_nm * self.scale, y - span.end_nm * self.scale
        edge = x + view.width_nm * self.scale
        text = self.say(span.end_nm - span.start_nm)
        at = edge + 10 + one.tier * (len(text) * _LETTER + 12)
        path = f"M{_r(edge + 3)} {_r(a)}H{_r(at + 4)}M{_r(edge + 3)} {_r(b)}H{_r(at + 4)}M{_r(at)} {_r(a)}V{_r(b)}"
        return DimensionLine(path + _ticks(at, a) + _ticks(at, b), text, _r(at + 6), _r((a + b) / 2 + 4), "start")

    def _height(self, height_nm: int, x: float, y: float) -> DimensionLine:
        at, top = x - _TIER * 0.7, y - height_nm * self.scale
        path = f"M{_r(x - 3)} {_r(y)}H{_r(at - 4)}M{_r(x - 3)} {_r(top)}H{_r(at - 4)}M{_r(at)} {_r(y)}V{_r(top)}"
        ticks = _ticks(at, y) + _ticks(at, top)
        return DimensionLine(path + ticks, self.say(height_nm), _r(at - 5), _r((y + top) / 2), "middle", turned=True)


def _apart(lines: list[DimensionLine]) -> list[DimensionLine]:
    """Texts that begin at the same place, none nearer to the one over it than a line."""
    placed: list[DimensionLine] = []
    for line in sorted(lines, key=lambda line: line.y):
        over = [one.y for one in placed if one.x == line.x]
        placed.append(replace(line, y=_r(max(line.y, over[-1] + _LINE))) if over else line)
    return placed


def _both(view: Drawn, way: str, say: Callable[[int], str]) -> str:
    """“24 in deep (25¾ in with the vise)”: the top's size, and the outer one where it is another."""
    if not view.top_nm:
        return f"{say(view.width_nm)} {way}"
    return f"{say(view.top_nm)} {way} ({say(view.width_nm)} {view.beyond})"


def _faces(view: Drawn, x: float, y: float, scale: float) -> tuple[Rectangle, ...]:
    return tuple(
        Rectangle(
            face.label,
            _r(x + face.left_nm * scale),
            _r(y - (face.bottom_nm + face.height_nm) * scale),
            _r(face.width_nm * scale),
            _r(face.height_nm * scale),
            _seams(face, x, y, scale),
        )
        for face in view.faces
    )


def _seams(face: Face, x: float, y: float, scale: float) -> str:
    left, bottom = x + face.left_nm * scale, y - face.bottom_nm * scale
    if face.level:
        lines = (f"M{_r(left)} {_r(bottom - at * scale)}h{_r(face.width_nm * scale)}" for at in face.seams_nm)
    else:
        lines = (f"M{_r(left + at * scale)} {_r(bottom)}v{_r(-face.height_nm * scale)}" for at in face.seams_nm)
    return "".join(lines)


def _rounds(view: Drawn, x: float, y: float, scale: float) -> tuple[Circle, ...]:
    return tuple(
        Circle(_r(x + hole.across_nm * scale), _r(y - hole.up_nm * scale), _r(max(hole.width_nm * scale / 2, 0.9)))
        for hole in view.rounds
    )


def _tiered(view: Drawn, *, upright: bool) -> list[_Tiered]:
    """The dimensions of one direction, the shorter nearer, none over another."""
    spans = sorted((s for s in view.spans if s.upright == upright), key=lambda s: (s.end_nm - s.start_nm, s.start_nm))
    return [_Tiered(span, tier) for span, tier in zip(spans, _rows(spans), strict=True)]


def _tiers(view: Drawn, *, upright: bool) -> list[int]:
    return [one.tier for one in _tiered(view, upright=upright)]


def _rows(spans: Sequence[Span]) -> list[int]:
    taken: list[list[Span]] = []
    rows: list[int] = []
    for span in spans:
        row = next((r for r, others in enumerate(taken) if not any(_meet(span, other) for other in others)), len(taken))
        if row == len(taken):
            taken.append([])
        taken[row].append(span)
        rows.append(row)
    return rows


def _meet(one: Span, other: Span) -> bool:
    return one.start_nm < other.end_nm and other.start_nm < one.end_nm


def _ticks(x: float, y: float) -> str:
    """The slanted stroke where a dimension ends, as in a joiner's drawing."""
    return f"M{_r(x - 3)} {_r(y + 3)}l6 -6"


def _r(value: float) -> float:
    return round(value, 1)
