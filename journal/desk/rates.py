"""The shop's rates worked out: its hour from its year, its machines' hours from what they cost, its people's wages."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from datetime import timedelta
from fractions import Fraction
from typing import TYPE_CHECKING

from journal import units
from journal.desk import own_rates, settings
from journal.desk.shop import hands_of
from journal.errors import Conflict, MissingReference
from journal.quote.machine_rate import MachineCost, machine_rate
from journal.quote.shop_rate import Kind, Overhead, Year, billable_share, looks_like_machine, shop_rate
from journal.quote.wages import mean_wage
from journal.records.base import canonical, checksum
from journal.records.queries import rates as records
from journal.records.queries import shop as shop_records
from journal.records.queries import workers as worker_records
from journal.records.queries.rates import MachineCostRow, OverheadRow, YearRow
from journal.records.words import OverheadKind

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.settings import StampedMachine
    from journal.quote.machine_rate import MachineRate
    from journal.quote.shop_rate import ShopRate
    from journal.quote.wages import Hand, Wage
    from journal.records.queries.shop import ShopRow
    from journal.records.queries.workers import WorkerRow

# Shorter than that, a slow month would pass for the shop's year.
_DAYS_WORTH_A_LOOK = 60
_BASIS_POINTS = 10_000
# What a shop usually pays whether it builds or not; offered by name, without amounts (common practice).
USUAL_OVERHEADS = (
    OverheadRow("Rent", OverheadKind.FIXED, 0, 12),
    OverheadRow("Heat and light", OverheadKind.FIXED, 0, 12),
    OverheadRow("Insurance of the shop", OverheadKind.FIXED, 0),
    OverheadRow("Van", OverheadKind.FIXED, 0),
    OverheadRow("Small tools", OverheadKind.FIXED, 0),
    OverheadRow("Accounts and tax advice", OverheadKind.ADMINISTRATIVE, 0),
    OverheadRow("Phone, web, software", OverheadKind.ADMINISTRATIVE, 0, 12),
    OverheadRow("Liability insurance", OverheadKind.ADMINISTRATIVE, 0),
)


@dataclass(frozen=True, slots=True)
class Logged:
    """What the logs say of the billable share: hours on projects, over so many days, and the share they make."""

    hours: float
    days: int
    share: float


@dataclass(frozen=True, slots=True)
class YearView:
    """The shop's year and what follows from it.

    Attributes:
        row: as kept, or what is offered to begin with.
        rate: what it comes to; None while nothing is kept.
        shop: the rates in force.
        logged: the billable share by the logs, where they cover enough.
        twice: overheads that a machine's running hour may pay for already.
    """

    row: YearRow
    rate: ShopRate | None
    shop: ShopRow
    logged: Logged | None
    twice: tuple[str, ...]

    @property
    def in_force(self) -> bool:
        """Whether the shop's rates are those of this year."""
        found = self.rate
        return found is not None and (found.wage_cents_per_hour, found.overhead_cents_per_hour) == (
            self.shop.wage_cents_per_hour,
            self.shop.overhead_cents_per_hour,
        )


@dataclass(frozen=True, slots=True)
class MachineCostView:
    """A machine, what is known of its cost, and the rate that follows; no row or rate while nothing is kept.

    `kwh_cents` is what the last machine worked out pays for a kilowatt-hour, to be offered; None at first. `twice` are
    overheads that this rate may pay for already.
    """

    machine: StampedMachine
    row: MachineCostRow | None
    rate: MachineRate | None
    kwh_cents: float | None
    twice: tuple[str, ...]

    @property
    def stamp(self) -> str:
        """Tells this state of the machine and its cost from any other."""
        return checksum(canonical([self.machine.stamp, asdict(self.row) if self.row else None]))[:16]


@dataclass(frozen=True, slots=True)
class Place:
    """A place at a bench, and the hours it put into projects in the last year."""

    row: WorkerRow
    hours: float


@dataclass(frozen=True, slots=True)
class StampedPlace:
    """A place and the stamp of the state it was read in."""

    row: WorkerRow
    stamp: str


@dataclass(frozen=True, slots=True)
class PeopleView:
    """The places at the benches; hours nobody put a name to; the wage that prices take."""

    places: tuple[Place, ...]
    unnamed_hours: float
    shop_wage_cents: int
    wage: Wage


def year(session: Session, today: date) -> YearView:
    """The shop's year as kept; what is offered to begin with, where none is."""
    shop = shop_records.get_shop(session)
    kept = records.get_year(session)
    row = kept or _offered(shop)
    found = year_of(row)
    return YearView(
        row=row,
        rate=shop_rate(found, units.currency(shop.currency)) if kept else None,
        shop=shop,
        logged=_logged(session, found, today),
        twice=looks_like_machine(found.overheads),
    )


def _offered(shop: ShopRow) -> YearRow:
    """A year to begin with, in which the shop's bench time is what is billed.

    Two hours in three are billable: a starting assumption.
    """
    share = Fraction(2, 3)
    hours = Fraction(shop.minutes_per_week, 60 * shop.people) / share
    return YearRow(
        people=shop.people,
        income_cents=0,
        weeks=46.0,
        hours_a_week=min(round(float(hours) * 2) / 2 or 0.5, 168.0),
        billable_bp=int(share * _BASIS_POINTS),
        overheads=USUAL_OVERHEADS,
    )


def year_of(row: YearRow) -> Year:
    """A kept year as the sums take it.

    Raises:
        BadInput: a year without hours, or a share that is none.
    """
    overheads = tuple(Overhead(one.name, Kind(one.kind.value), one.cents, one.times_a_year) for one in row.overheads)
    return Year(
        people=row.people,
        income_cents=row.income_cents,
        weeks=Fraction(str(row.weeks)),
        hours_a_week=Fraction(str(row.hours_a_week)),
        billable=Fraction(row.billable_bp, _BASIS_POINTS),
        overheads=overheads,
    )


def keep_year(session: Session, row: YearRow, *, today: date, use: bool = False) -> ShopRate:
    """Keep the shop's year; with `use`, its wage and overhead become the shop's.

    Raises:
        BadInput: a year without hours, or a share that is none; nothing is kept.
        Conflict: somebody else changed it since it was read.
    """
    shop = shop_records.get_shop(session)
    rate = shop_rate(year_of(row), units.currency(shop.currency))
    kept = records.get_year(session)
    used_on = today if use else kept.used_on if kept else None
    records.save_year(session, replace(row, used_on=used_on))
    if use:
        wage, overhead = rate.wage_cents_per_hour, rate.overhead_cents_per_hour
        shop_records.save_shop(session, replace(shop, wage_cents_per_hour=wage, overhead_cents_per_hour=overhead))
        own_rates.say(session, own_rates.WAGE, own_rates.OVERHEAD)
    return rate


def machine_cost(session: Session, machine_id: int) -> MachineCostView:
    """A machine with what is known of its cost.

    Raises:
        MissingReference: no machine of that number.
    """
    there = {known.row.id: known for known in settings.machines(session)}
    if machine_id not in there:
        raise MissingReference("machine", str(machine_id), [known.row.label for known in there.values()])
    costs = records.machine_costs(session)
    row = costs.get(machine_id)
    last = next((cost.kwh_cents for cost in reversed(costs.values()) if cost.kwh_cents), None)
    currency = units.currency(shop_records.get_shop(session).currency)
    return MachineCostView(
        machine=there[machine_id],
        row=row,
        rate=machine_rate(cost_of(row), currency) if row else None,
        kwh_cents=row.kwh_cents if row else last,
        twice=counted_twice(session),
    )


def cost_of(row: MachineCostRow) -> MachineCost:
    """A kept cost as the sums take it.

    Raises:
        BadInput: a machine without hours, or a load that is no share.
    """
    return MachineCost(
        purchase_cents=row.purchase_cents,
        salvage_cents=row.salvage_cents,
        life_hours=Fraction(str(row.life_hours)),
        hours_a_year=Fraction(str(row.hours_a_year)),
        upkeep_cents_a_year=row.upkeep_cents_a_year,
        standing_cents_a_year=row.standing_cents_a_year,
        power_kw=Fraction(str(row.power_kw)),
        load=Fraction(row.load_bp, _BASIS_POINTS),
        kwh_cents=Fraction(str(row.kwh_cents)),
        blade_cents=row.blade_cents,
        blade_hours=Fraction(str(row.blade_hours)),
    )


def keep_machine_cost(session: Session, row: MachineCostRow, *, stamp: str, use: bool = False) -> MachineRate:
    """Keep what a machine costs; with `use`, its running hour costs that from now on.

    `stamp` is that of the machine with its cost as it was read.

    Raises:
        BadInput: a machine without hours, or a load that is no share; nothing is kept.
        MissingReference: no machine of that number.
        Conflict: the machine or its cost changed since.
    """
    found = machine_cost(session, row.machine_id)
    if found.stamp != stamp:
        raise Conflict("what this machine costs", "open it again and repeat the change")
    currency = units.currency(shop_records.get_shop(session).currency)
    rate = machine_rate(cost_of(row), currency)
    wanted = rate.cents_per_hour if use else found.machine.row.cost_cents_per_hour
    settings.save_machine(session, replace(found.machine.row, cost_cents_per_hour=wanted), stamp=found.machine.stamp)
    records.put_machine_cost(session, row)
    return rate


def worked_out(session: Session) -> Mapping[int, int]:
    """Cents a running hour by machine, of those worked out from what they cost."""
    currency = units.currency(shop_records.get_shop(session).currency)
    found = records.machine_costs(session)
    return {number: machine_rate(cost_of(row), currency).cents_per_hour for number, row in found.items()}


def counted_twice(session: Session) -> tuple[str, ...]:
    """Overheads that a machine's running hour may pay for already, by name."""
    kept = records.get_year(session)
    return looks_like_machine(year_of(kept).overheads) if kept else ()


def people(session: Session, today: date) -> PeopleView:
    """The places at the benches, with the hours of the last year and the wage that prices take."""
    hands = hands_of(session, today)
    shop = shop_records.get_shop(session)
    hours = {hand.label: hand.minutes / 60 for hand in hands}
    return PeopleView(
        places=tuple(Place(row, hours.get(row.label, 0.0)) for row in worker_records.workers(session)),
        unnamed_hours=hours.get("", 0.0),
        shop_wage_cents=shop.wage_cents_per_hour,
        wage=_wage(hands, shop),
    )


def person(session: Session, worker_id: int) -> StampedPlace:
    """One place, and the stamp of the state it was read in.

    Raises:
        MissingReference: no place of that number.
    """
    there = {row.id: row for row in worker_records.workers(session)}
    if worker_id not in there:
        raise MissingReference("place", str(worker_id), [row.label for row in there.values()])
    row = there[worker_id]
    return StampedPlace(row, checksum(canonical(asdict(row)))[:16])


def keep_person(session: Session, row: WorkerRow, *, stamp: str = "") -> WorkerRow:
    """Keep a place at a bench, a new one when its id is 0; otherwise `stamp` is that of the state it was read in.

    Raises:
        BadInput: no name, or one that another place has.
        MissingReference: no place of that number.
        Conflict: it changed since.
    """
    if row.id and person(session, row.id).stamp != stamp:
        raise Conflict("this place", "open it again and repeat the change")
    return worker_records.save_worker(session, row)


def _wage(hands: tuple[Hand, ...], shop: ShopRow) -> Wage:
    return mean_wage(hands, shop.wage_cents_per_hour, units.currency(shop.currency))


def _logged(session: Session, found: Year, today: date) -> Logged | None:
    seen = worker_records.logged_since(session, today - timedelta(days=365))
    if seen is None:
        return None
    days = min((today - seen.first_on).days, 365)
    if days < _DAYS_WORTH_A_LOOK:
        return None
    hours = seen.minutes / 60
    return Logged(hours, days, billable_share(hours, found, days / 365))
