"""What would change with four more clamps, a slower glue, a wider planer, another pair of hands?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.clamping_rules import MOST_SPREADERS
from journal.desk.estimate import estimate_of, estimate_project
from journal.desk.settings import usual_machines
from journal.errors import BadInput, MissingReference

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.shop import ShopView
    from journal.quote.estimate import Estimate
    from journal.records.queries.shop import MachineRow

PLANER = "thickness planer"
MOST_CLAMPS = 500


@dataclass(frozen=True, slots=True)
class Change:
    """What is tried; nothing is kept.

    Attributes:
        clamps: more clamps, below zero for fewer.
        adhesive: another class of glue; blank: the same.
        planer_nm: another planer's width, 0 for none at all; None: the same.
        hands: more people who spread, feed and lift.
    """

    clamps: int = 0
    adhesive: str = ""
    planer_nm: int | None = None
    hands: int = 0

    def __post_init__(self) -> None:
        if not -MOST_CLAMPS <= self.clamps <= MOST_CLAMPS:
            raise BadInput("more clamps", self.clamps, f"−{MOST_CLAMPS} to {MOST_CLAMPS}")
        if not 0 <= self.hands < MOST_SPREADERS:
            raise BadInput("hands", self.hands, f"0 to {MOST_SPREADERS - 1}")
        if self.planer_nm is not None and not 0 <= self.planer_nm <= units.feet(10):
            raise BadInput("planer width", self.planer_nm, "0 (none) to 10 ft")
        if self.adhesive and self.adhesive not in reference.adhesives():
            raise MissingReference("glue", self.adhesive, tuple(reference.adhesives()))


@dataclass(frozen=True, slots=True)
class Glued:
    """How it is glued.

    Attributes:
        sections: of each laminated part.
        clampings: in the whole commission.
        minutes: at the bench, all planned work, by this shop's pace.
        price_cents: what to ask.
        boards: boards and sheets to buy.
        by_hand: parts flattened by hand.
        reasons: why there are so many sections and clampings, by part.
        troubles: parts that cannot be glued so.
    """

    sections: Mapping[str, int]
    clampings: int
    minutes: float
    price_cents: int
    boards: int
    by_hand: tuple[str, ...]
    reasons: Mapping[str, tuple[str, ...]]
    troubles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """As it is, and as it would be."""

    change: Change
    before: Glued
    after: Glued

    @property
    def possible(self) -> bool:
        """Whether every part can be glued with the change; if not, its figures are those of a count without limits."""
        return not self.after.troubles

    @property
    def clampings_saved(self) -> int:
        """Fewer clampings than before; below zero when there are more."""
        return self.before.clampings - self.after.clampings

    @property
    def cents_saved(self) -> int:
        """So much less to ask; below zero when it costs more."""
        return self.before.price_cents - self.after.price_cents

    @property
    def minutes_saved(self) -> float:
        """Fewer minutes than before."""
        return self.before.minutes - self.after.minutes


def what_if(session: Session, project_id: int, today: date, change: Change) -> Comparison:
    """The project glued as it is, and with the change.

    Raises:
        JournalError: when there are no parts, or a part cannot be made.
    """
    found = estimate_project(session, project_id, today)
    work = replace(found.work, adhesive=change.adhesive or found.work.adhesive)
    tried = replace(found.inputs, shop=changed(found.shop, change), work=work)
    return Comparison(change, _glued(found.made), _glued(estimate_of(tried)))


def changed(shop: ShopView, change: Change) -> ShopView:
    """The shop with the change, for trying."""
    allowed = dict(shop.allowances)
    allowed["clamps_on_hand"] = max(0.0, allowed["clamps_on_hand"] + change.clamps)
    allowed["glue_spreaders"] = min(float(MOST_SPREADERS), allowed["glue_spreaders"] + change.hands)
    row = replace(shop.row, people=shop.row.people + change.hands)
    return replace(
        shop, row=row, allowances=MappingProxyType(allowed), machines=_machines(shop.machines, change.planer_nm)
    )


def _machines(machines: tuple[MachineRow, ...], planer_nm: int | None) -> tuple[MachineRow, ...]:
    if planer_nm is None:
        return machines
    listed = machines or usual_machines()
    others = tuple(row for row in listed if row.kind != PLANER)
    if not planer_nm:
        return others
    mine = next((row for row in listed if row.kind == PLANER), None)
    usual = next(row for row in usual_machines() if row.kind == PLANER)
    return (*others, replace(mine or usual, max_width_nm=planer_nm))


def _glued(made: Estimate) -> Glued:
    taken = made.takeoff
    laminated = [milled for milled in taken.milled if milled.glued]
    return Glued(
        sections=MappingProxyType({milled.part.label: milled.sections for milled in laminated}),
        clampings=sum(up.times for up in taken.ups),
        minutes=sum(operation.mean_minutes for operation in made.operations) + taken.own_minutes,
        price_cents=made.price_cents,
        boards=sum(bill.sawing.boards for bill in taken.bills),
        by_hand=tuple(milled.part.label for milled in laminated if milled.by_hand),
        reasons=MappingProxyType(
            {one.part: one.division.reasons for one in taken.gluing.laminations if one.division is not None}
        ),
        troubles=taken.gluing.troubles,
    )
