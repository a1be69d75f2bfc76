"""Where the money went, drawn: a bar a step, each beginning where the last one ended, from the expected to the made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

_SIDE = 10.0
_ROW = 46.0  # a label, and its bar under it
_BAR = 16.0
_LABEL = 16.0  # from the top of a row down to its label's foot
_LEAST = 2.0  # a bar that is still seen


@dataclass(frozen=True, slots=True)
class Amount:
    """One row to draw: a sum that stands by itself, or a step away from where the last one ended."""

    label: str
    cents: int
    text: str
    whole: bool


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar and its label.

    Attributes:
        kind: "whole", "more" or "less".
        x, y, width, foot: of the bar; label_y: of its label.
        to_next, next_y: where the next bar begins; None for none.
    """

    label: str
    text: str
    kind: str
    x: float
    y: float
    width: float
    foot: float
    label_y: float
    next_y: float
    to_next: float | None


@dataclass(frozen=True, slots=True)
class StepsPicture:
    """The drawing for one width of page; `right` is where sums end, `zero` where nothing stands."""

    width: float
    height: float
    right: float
    bar: float
    zero: float
    bars: tuple[Bar, ...]


def draw(amounts: Sequence[Amount], width: float) -> StepsPicture:
    """The bars from top to bottom."""
    ends = [0.0, *(end for pair in _spans(amounts) for end in pair)]
    low, high = min(ends), max(ends)
    scale = (width - 2 * _SIDE) / ((high - low) or 1.0)

    def x(cents: float) -> float:
        return round(_SIDE + (cents - low) * scale, 1)

    bars = []
    for row, (amount, (start, end)) in enumerate(zip(amounts, _spans(amounts), strict=True)):
        left, right = sorted((x(start), x(end)))
        kind = "whole" if amount.whole else "more" if amount.cents >= 0 else "less"
        last = row == len(amounts) - 1
        bars.append(
            Bar(
                label=amount.label,
                text=amount.text,
                kind=kind,
                x=left,
                y=_ROW * row + _LABEL + 6,
                width=max(round(right - left, 1), _LEAST),
                foot=_ROW * row + _LABEL + 6 + _BAR,
                label_y=_ROW * row + _LABEL,
                next_y=_ROW * (row + 1) + _LABEL + 6,
                to_next=None if last else x(end),
            )
        )
    return StepsPicture(width, _ROW * len(amounts), width - _SIDE, _BAR, x(0.0), tuple(bars))


def _spans(amounts: Sequence[Amount]) -> list[tuple[int, int]]:
    """From where to where each bar goes, in cents."""
    at, found = 0, []
    for amount in amounts:
        start = 0 if amount.whole else at
        at = start + amount.cents
        found.append((start, at))
    return found
