"""The shop's year with its overheads, and what its machines cost."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from datetime import date

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from journal.errors import BadInput
from journal.records.queries.values import require_from, require_text, require_version, to_value
from journal.records.tables import MachineCost, Overhead, ShopYear
from journal.records.words import OverheadKind


@dataclass(frozen=True, slots=True)
class OverheadRow:
    """One cost of the shop that no project causes, so many times a year."""

    name: str
    kind: OverheadKind
    cents: int
    times_a_year: int = 1

    def __post_init__(self) -> None:
        require_text("overhead", self.name, "what it is for, such as rent")
        require_from(self.name, self.cents, 0, "an amount, 0 or more")
        if self.times_a_year not in (1, 4, 12):
            raise BadInput(self.name, self.times_a_year, "once a year, a quarter or a month")


@dataclass(frozen=True, slots=True)
class YearRow:
    """The year the shop's rate is made of; version 0: not kept yet. The share in basis points.

    `used_on` is the day its rate became the shop's, None when it never did.
    """

    people: int
    income_cents: int
    weeks: float
    hours_a_week: float
    billable_bp: int
    overheads: tuple[OverheadRow, ...] = field(default_factory=tuple)
    used_on: date | None = None
    version: int = 0


@dataclass(frozen=True, slots=True)
class MachineCostRow:
    """What a machine costs; the load in basis points, the price of a kilowatt-hour in cents and parts of one."""

    machine_id: int
    purchase_cents: int
    life_hours: float
    hours_a_year: float
    salvage_cents: int = 0
    upkeep_cents_a_year: int = 0
    standing_cents_a_year: int = 0
    power_kw: float = 0.0
    load_bp: int = 10_000
    kwh_cents: float = 0.0
    blade_cents: int = 0
    blade_hours: float = 0.0


def get_year(session: Session) -> YearRow | None:
    """The shop's year; None while none was kept. Two statements."""
    row = session.get(ShopYear, 1)
    if row is None:
        return None
    lines = session.scalars(select(Overhead).order_by(Overhead.position, Overhead.id))
    return to_value(YearRow, row, overheads=tuple(to_value(OverheadRow, line) for line in lines))


def save_year(session: Session, year: YearRow) -> YearRow:
    """Keep the shop's year with its overheads; refuses when it changed since `year` was read."""
    row = session.get(ShopYear, 1)
    require_version("the shop’s year", row.version if row else 0, year.version)
    if row is None:
        row = ShopYear(id=1)
        session.add(row)
    for name in ("people", "income_cents", "weeks", "hours_a_week", "billable_bp", "used_on"):
        setattr(row, name, getattr(year, name))
    _put_overheads(session, year.overheads)
    session.flush()
    return to_value(YearRow, row, overheads=year.overheads)


def machine_costs(session: Session) -> dict[int, MachineCostRow]:
    """What the machines cost, by the machine's id; those nobody worked out are not in it."""
    return {row.machine_id: to_value(MachineCostRow, row) for row in session.scalars(select(MachineCost))}


def put_machine_cost(session: Session, cost: MachineCostRow) -> None:
    """Keep what a machine costs, new or again."""
    session.merge(MachineCost(**asdict(cost)))
    session.flush()


def _put_overheads(session: Session, overheads: Sequence[OverheadRow]) -> None:
    kept = session.scalars(select(Overhead).order_by(Overhead.position, Overhead.id))
    if tuple(to_value(OverheadRow, line) for line in kept) == tuple(overheads):
        return
    session.execute(delete(Overhead))
    session.add_all(Overhead(position=place, **asdict(one)) for place, one in enumerate(overheads))
