"""What the logs teach beside the paces, as rows of a table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.pace.explain import signed
from journal.pace.ratios import Kind
from journal.web.state import in_marks
from journal.working import Basis

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.desk.ratios import RatioLine
    from journal.pace.ratios import Factor, ItemBelief


@dataclass(frozen=True, slots=True)
class RatioRow:
    """One ratio.

    Attributes:
        name, about: what it is, and what is compared with what.
        middle, span: the next project's, '' while nothing was seen.
        basis: logs, or the settings that stand meanwhile.
        logs, projects: how much it rests on.
        apart: its items where there is more than one: name, the shop's own, how often seen.
        unused: how many records could not be used, with the first reasons.
    """

    name: str
    about: str
    middle: str
    span: str
    basis: Basis
    logs: int
    projects: int
    apart: tuple[tuple[str, str, int], ...]
    unused: int
    problems: tuple[str, ...]


_REASONS = 3
_AS_TIMES = 2.0


def ratio_view(lines: Sequence[RatioLine]) -> tuple[RatioRow, ...]:
    """The ratios in their order; those nothing was seen of say so."""
    return tuple(_row(line) for line in lines)


def _row(line: RatioLine) -> RatioRow:
    found = line.factor
    middle, span = _words(line.kind, found) if found else ("", "")
    return RatioRow(
        name=line.name,
        about=line.about,
        middle=middle,
        span=span,
        basis=Basis.LOGS if found else Basis.SETTING,
        logs=found.seen if found else 0,
        projects=found.projects if found else 0,
        apart=tuple((_item(one), in_marks(f"{one.ratio.p50:.2f}×"), one.seen) for one in line.items),
        unused=line.unused,
        problems=line.problems[:_REASONS],
    )


def _words(kind: Kind, found: Factor) -> tuple[str, str]:
    """The middle and the range: as more or less, or as times where that reads better."""
    low, middle, high = found.range.p10, found.range.p50, found.range.p90
    if kind is Kind.YIELD or high >= _AS_TIMES:
        return in_marks(f"{middle:.2f}×"), in_marks(f"{low:.2f} to {high:.2f}×")
    return signed(middle - 1), f"{signed(low - 1)} to {signed(high - 1)}"


def _item(one: ItemBelief) -> str:
    return one.item if one.item == one.group else f"{one.group}, {one.item}"
