"""Options of one enquiry: what would be other, and what that changes, line by line.

An option is a set of changes to a project, not a project of its own: when the project changes, its options follow. All
are estimated with the same throws (`journal.quote.throws`), so that a difference in cost is the option's and not luck.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from journal.errors import BadInput
from journal.working import Spread

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from journal.build.design import Given
    from journal.build.parts import Feature, Part
    from journal.quote.estimate import Estimate

MOST_BENCHES = 1_000
MOST_COATS = 20


@dataclass(frozen=True, slots=True)
class Changes:
    """What an option makes other; what is empty stays as the project has it.

    Attributes:
        benches, coats: counts; None: as they are.
        adhesive, finish: classes, as in the reference tables.
        design: parameters of the project's design, by their words.
        stocks: stock as the parts name it → what is taken instead, in added parts too.
        left_out: parts not built, by their uid.
        features: what a part carries instead, by its uid.
        added: parts built besides; one whose label is there already is not built twice.

    Put on a second time, the changes do nothing more: an option that was taken is the project.
    """

    benches: int | None = None
    coats: int | None = None
    adhesive: str = ""
    finish: str = ""
    design: Mapping[str, Given] = field(default_factory=lambda: MappingProxyType({}))
    stocks: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    left_out: frozenset[str] = frozenset()
    features: Mapping[str, tuple[Feature, ...]] = field(default_factory=lambda: MappingProxyType({}))
    added: tuple[Part, ...] = ()

    def __post_init__(self) -> None:
        if self.benches is not None and not 1 <= self.benches <= MOST_BENCHES:
            raise BadInput("benches", self.benches, f"a whole number from 1 to {MOST_BENCHES:,}")
        if self.coats is not None and not 0 <= self.coats <= MOST_COATS:
            raise BadInput("coats", self.coats, f"0 to {MOST_COATS}")
        for instead in self.stocks.values():
            if instead in self.stocks:
                raise BadInput("stock", instead, "one that is not replaced itself")

    @property
    def nothing(self) -> bool:
        """Whether it changes nothing at all."""
        counts = self.benches is None and self.coats is None
        words = (self.adhesive, self.finish, self.design, self.stocks, self.left_out, self.features, self.added)
        return counts and not any(words)


def changed_parts(listed: Sequence[Part], changes: Changes) -> tuple[Part, ...]:
    """The part list with an option's changes; a change of a part that is not listed any more has no effect.

    Raises:
        BadInput: nothing is left to build.
    """
    kept = tuple(_changed(part, changes) for part in listed if part.uid not in changes.left_out)
    there = {part.label.casefold() for part in kept}
    added = [_changed(part, changes) for part in changes.added if part.label.casefold() not in there]
    parts = (*kept, *added)
    if not parts:
        raise BadInput("parts left out", len(listed), "at least one part that stays")
    return parts


def _changed(part: Part, changes: Changes) -> Part:
    features = changes.features.get(part.uid, part.features)
    return replace(part, stock=changes.stocks.get(part.stock, part.stock), features=features)


@dataclass(frozen=True, slots=True)
class ComparedLine:
    """One line of a comparison.

    Attributes:
        name, unit: of its figures; the units are those of `journal.working.Line`.
        values: the project's figure, then each option's; None where there is no estimate.
    """

    name: str
    unit: str
    values: tuple[float | None, ...]

    @property
    def differences(self) -> tuple[float | None, ...]:
        """Each figure less the first; the first itself is left out."""
        first, *others = self.values
        return tuple(None if value is None or first is None else value - first for value in others)

    @property
    def differs(self) -> bool:
        """Whether any option's figure is another than the project's."""
        return any(self.differences)


@dataclass(frozen=True, slots=True)
class Dearer:
    """How an option's cost lies over the project's, draw by draw, in cents: its mean, its range, how often it is more."""

    mean: float
    spread: Spread
    chance: float


def compare(base: Estimate, others: Sequence[Estimate | None]) -> tuple[ComparedLine, ...]:
    """The lines of the project and its options side by side: money down to the price, then hours, weight, boards.

    The money lines above the price add up to it, in every column.
    """
    every = [base, *others]
    money = [_money(made) if made else {} for made in every]
    names = _merged([list(found) for found in money])
    lines = [ComparedLine(name, "cents", _column(every, [found.get(name, 0) for found in money])) for name in names]
    return (
        *lines,
        ComparedLine("Price", "cents", tuple(made.price_cents if made else None for made in every)),
        ComparedLine("Hours, mean", "h", tuple(made.quantities[-1].value / 60 if made else None for made in every)),
        ComparedLine("Weight", "kg", tuple(made.takeoff.weight_kg if made else None for made in every)),
        ComparedLine("Boards and sheets to buy", "", tuple(_boards(made) if made else None for made in every)),
    )


def dearer(base: Estimate, other: Estimate) -> Dearer:
    """How far an option's cost lies over the project's, on the throws they share.

    Raises:
        BadInput: they were not thrown alike.
    """
    if (base.seed, base.draws) != (other.seed, other.draws):
        raise BadInput("draws", f"{other.draws} with seed {other.seed}", f"{base.draws} with seed {base.seed}")
    more = other.cost_draws - base.cost_draws
    low, half, high = (float(value) for value in np.quantile(more, (0.1, 0.5, 0.9)))
    return Dearer(float(more.mean()), Spread(low, half, high), float((more > 0).mean()))


def _money(made: Estimate) -> dict[str, float]:
    """The money lines by name, materials by what is bought; “Finish: hard oil” is “Finish”, whatever the product."""
    materials, *others = made.costs
    return {line.name.partition(":")[0]: line.value for line in (*materials.parts, *others)}


def _merged(columns: Sequence[Sequence[str]]) -> list[str]:
    """All names, each once, where they first stand after those before them."""
    found: list[str] = []
    for names in columns:
        at = 0
        for name in names:
            if name in found:
                at = found.index(name) + 1
            else:
                found.insert(at, name)
                at += 1
    return found


def _column(every: Sequence[Estimate | None], values: Sequence[float]) -> tuple[float | None, ...]:
    return tuple(value if made else None for made, value in zip(every, values, strict=True))


def _boards(made: Estimate) -> int:
    return sum(bill.sawing.boards for bill in made.takeoff.bills)
