"""Geometry of the drawn ranges: numbers in, positions out, so that a template only writes down what it is given."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

MarkKind = Literal["quantile", "price"]

_LETTER = 7.2  # units of width a label's letter takes at the label's size, rounded up
_ROW = 18.0  # height of a row of labels
_AIR = 8.0  # between the labels and the heap
_SIDE = 14.0  # left and right of the axis
_PLOT = 112.0  # height of the heap
_AXIS = 30.0  # ticks and their labels


@dataclass(frozen=True, slots=True)
class Histogram:
    """A distribution as bins; edges: shape (n + 1,), finite, rising; counts: shape (n,), each >= 0, not all 0."""

    edges: NDArray[np.float64]
    counts: NDArray[np.float64]

    def __post_init__(self) -> None:
        edges, counts = self.edges, self.counts
        if edges.ndim != 1 or edges.size < 2 or not np.all(np.isfinite(edges)) or np.any(np.diff(edges) <= 0):
            raise BadInput("edges", edges.tolist(), "two or more finite numbers, each larger than the last")
        if counts.shape != (edges.size - 1,) or not np.all(np.isfinite(counts)) or np.any(counts < 0):
            raise BadInput("counts", counts.tolist(), f"{edges.size - 1} finite numbers, none below nought")
        if not counts.any():
            raise BadInput("counts", counts.tolist(), "at least one above nought")


@dataclass(frozen=True, slots=True)
class Mark:
    """A value worth pointing at: a short label in the picture, its meaning in the table beside it."""

    label: str
    value: float
    meaning: str
    kind: MarkKind = "quantile"


@dataclass(frozen=True, slots=True)
class PlacedMark:
    """A mark with its stem's x, the stem's top, and where its label stands."""

    mark: Mark
    text: str
    x: float
    top: float
    label_x: float
    label_y: float


@dataclass(frozen=True, slots=True)
class Tick:
    """A tick of the axis, from the base down to its end; longer where it bears a label, as on a rule."""

    x: float
    end: float
    label: str


@dataclass(frozen=True, slots=True)
class RangePicture:
    """A heap of likelihood over an axis, with marks. Positions in the picture's own units, y downwards."""

    width: float
    height: float
    base: float
    tick_label_y: float
    outline: str
    inner: str
    marks: tuple[PlacedMark, ...]
    ticks: tuple[Tick, ...]


@dataclass(frozen=True, slots=True)
class RangeFigure:
    """One range drawn for a wide and a narrow page, with its text alternative and the rows of its table."""

    name: str
    title: str
    description: str
    wide: RangePicture
    narrow: RangePicture
    rows: tuple[tuple[str, str, str], ...]


def range_figure(
    name: str,
    title: str,
    histogram: Histogram,
    marks: Sequence[Mark],
    say: Callable[[float], str],
) -> RangeFigure:
    """The drawing of a distribution.

    Args:
        name: unique on the page; the picture's ids start with it.
        title: what is drawn.
        histogram: the distribution, in the unit `say` writes.
        marks: values to point at; the first and last quantile bound the darker part.
        say: writes a value with its unit.
    """
    rows = tuple((mark.label, say(mark.value), mark.meaning) for mark in marks)
    return RangeFigure(
        name=name,
        title=title,
        description="; ".join(f"{meaning}: {value}" for _, value, meaning in rows) + ".",
        wide=_draw(histogram, marks, [f"{label} {value}" for label, value, _ in rows], say, width=720.0),
        narrow=_draw(histogram, marks, [label for label, _, _ in rows], say, width=328.0),
        rows=rows,
    )


def round_ticks(low: float, high: float, most: int) -> tuple[float, float]:
    """First tick and distance of round ticks (1, 2 or 5 times a power of ten) inside an interval.

    Args:
        low: start of the interval.
        high: end, > low.
        most: largest number of ticks, >= 2.
    """
    least = (high - low) / most
    power = 10.0 ** math.floor(math.log10(least))
    step = next(power * factor for factor in (1, 2, 5, 10) if power * factor >= least * (1 - 1e-9))
    return math.ceil(low / step - 1e-9) * step, step


@dataclass(frozen=True, slots=True)
class _Axis:
    low: float
    high: float
    width: float

    def x(self, value: float) -> float:
        """Where a value stands, to a tenth of a unit."""
        scale = (self.width - 2 * _SIDE) / (self.high - self.low)
        return round(_SIDE + (float(value) - self.low) * scale, 1)


def _draw(
    histogram: Histogram,
    marks: Sequence[Mark],
    texts: Sequence[str],
    say: Callable[[float], str],
    width: float,
) -> RangePicture:
    ends = histogram.edges
    points = [float(ends[0]), float(ends[-1]), *(float(mark.value) for mark in marks)]
    axis = _Axis(min(points), max(points), width)
    rows = _label_rows(marks, texts, axis)
    base = _ROW * (1 + max((row for row, _ in rows), default=-1)) + _AIR + _PLOT
    density = histogram.counts / np.diff(ends)
    tops = base - _PLOT * density / density.max()
    return RangePicture(
        width=width,
        height=base + _AXIS,
        base=base,
        tick_label_y=base + 25,
        outline=_steps(ends, tops, base, axis),
        inner=_steps(*_between(ends, tops, marks), base, axis),
        marks=tuple(
            PlacedMark(mark, text, axis.x(mark.value), _ROW * row + 17, centre, _ROW * row + 13)
            for mark, text, (row, centre) in zip(marks, texts, rows, strict=True)
        ),
        ticks=_ticks(axis, base, say),
    )


def _label_rows(marks: Sequence[Mark], texts: Sequence[str], axis: _Axis) -> list[tuple[int, float]]:
    """For each mark the row of its label, 0 at the top, and the label's middle, so that no label covers another."""
    halves = [len(text) * _LETTER / 2 for text in texts]
    centres = [
        round(min(max(axis.x(mark.value), half), axis.width - half), 1)
        for mark, half in zip(marks, halves, strict=True)
    ]
    ends_of_rows: list[float] = []
    placed = [0] * len(marks)
    for index in sorted(range(len(marks)), key=lambda i: centres[i] - halves[i]):
        left, right = centres[index] - halves[index], centres[index] + halves[index]
        row = next((r for r, end in enumerate(ends_of_rows) if end + _LETTER <= left), len(ends_of_rows))
        ends_of_rows[row : row + 1] = [right]
        placed[index] = row
    return list(zip(placed, centres, strict=True))


def _steps(ends: NDArray[np.float64], tops: NDArray[np.float64], base: float, axis: _Axis) -> str:
    """The outline of the heap as an SVG path."""
    if not tops.size:
        return ""
    flats = " ".join(f"V{top:.1f} H{axis.x(right)}" for top, right in zip(tops, ends[1:], strict=True))
    return f"M{axis.x(ends[0])} {base:.1f} {flats} V{base:.1f} Z"


def _between(
    ends: NDArray[np.float64], tops: NDArray[np.float64], marks: Sequence[Mark]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The bins between the first and the last quantile, the outer ones cut at them."""
    values = [mark.value for mark in marks if mark.kind == "quantile"]
    if len(values) < 2:
        return ends[:1], tops[:0]
    low, high = max(min(values), ends[0]), min(max(values), ends[-1])
    first = int(np.searchsorted(ends, low, side="right")) - 1
    last = int(np.searchsorted(ends, high, side="left"))
    cut = np.concatenate(([low], ends[first + 1 : last], [high]))
    return cut, tops[first:last]


def _ticks(axis: _Axis, base: float, say: Callable[[float], str]) -> tuple[Tick, ...]:
    """A tick at every tenth of a round step, a label at every whole one that fits on the page."""
    widest = max(len(say(axis.low)), len(say(axis.high))) * _LETTER + 14
    first, step = round_ticks(axis.low, axis.high, max(2, int((axis.width - 2 * _SIDE) / widest)))
    fine = step / 10
    start = math.ceil((axis.low - first) / fine - 1e-9)
    stop = math.floor((axis.high - first) / fine + 1e-9)
    ticks = []
    for n in range(start, stop + 1):
        value = first + fine * n
        text = say(value) if n % 10 == 0 else ""
        half = len(text) * _LETTER / 2
        x = axis.x(value)
        ticks.append(Tick(x, base + _tick_length(n), text if half <= x <= axis.width - half else ""))
    return tuple(ticks)


def _tick_length(n: int) -> int:
    return 10 if n % 10 == 0 else 7 if n % 5 == 0 else 4
