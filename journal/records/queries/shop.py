"""The shop, its settings and its machines."""

from dataclasses import asdict, dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from journal.errors import BadInput, MissingReference
from journal.records.queries.values import require_from, require_text, require_version, to_value
from journal.records.tables import Machine, Setting, Shop
from journal.records.words import LengthSystem
from journal.units import DayForm, Mark, WeekStart


@dataclass(frozen=True, slots=True)
class ShopRow:
    """The shop as it stands. Shares in basis points, tax in millionths; version 0 is a shop not saved yet.

    Every figure here is a starting assumption until the shop puts its own.
    """

    name: str = "My shop"
    letterhead: str = ""
    currency: str = "USD"
    system: LengthSystem = LengthSystem.INCH
    denominator: int = 16
    day_form: DayForm = DayForm.DAY_FIRST
    decimal_mark: Mark = Mark.POINT
    week_start: WeekStart = WeekStart.MONDAY
    time_zone: str = "UTC"
    wage_cents_per_hour: int = 3_500
    overhead_cents_per_hour: int = 1_500
    margin_bp: int = 1_500
    confidence_pct: int = 80
    deposit_bp: int = 5_000
    tax_ppm: int = 0
    rounding_cents: int = 500
    minutes_per_week: int = 1_500
    people: int = 1
    default_species: str = "spruce-pine-fir"
    default_adhesive: str = "pva_interior"
    default_finish: str = "oil_varnish_blend"
    version: int = 0

    def __post_init__(self) -> None:
        require_text("shop name", self.name, "a name for the head of a quote")
        require_from("wage", self.wage_cents_per_hour, 0, "an amount an hour, 0 or more")
        require_from("overhead", self.overhead_cents_per_hour, 0, "an amount an hour, 0 or more")
        require_from("people", self.people, 1, "a whole number from 1")
        require_from("rounding", self.rounding_cents, 1, "the smallest step of a price")
        _require_between("margin", self.margin_bp, 0, 9_999, "a share from 0 to under 100%")
        _require_between("deposit", self.deposit_bp, 0, 10_000, "a share from 0 to 100%")
        _require_between("tax", self.tax_ppm, 0, 999_999, "a share from 0 to under 100%")
        _require_between("confidence", self.confidence_pct, 50, 99, "a whole percentage from 50 to 99")
        _require_between("hours a week", self.minutes_per_week, 1, 10_080, "more than 0 and at most 168 hours")
        if self.denominator not in (2, 4, 8, 16, 32, 64):
            raise BadInput("fractions of an inch", self.denominator, "2, 4, 8, 16, 32 or 64")


@dataclass(frozen=True, slots=True)
class SettingRow:
    """An allowance the shop has changed; the value as it was typed."""

    key: str
    value: str
    unit: str


@dataclass(frozen=True, slots=True)
class MachineRow:
    """A machine on the floor; an empty capacity is not known and limits nothing. id 0: not saved yet."""

    kind: str
    label: str
    max_width_nm: int | None = None
    max_height_nm: int | None = None
    min_length_nm: int | None = None
    cost_cents_per_hour: int = 0
    active: bool = True
    id: int = 0

    def __post_init__(self) -> None:
        require_text("machine", self.kind, "the kind of machine")
        require_from("cost an hour", self.cost_cents_per_hour, 0, "0 or more")
        for field in ("max_width_nm", "max_height_nm", "min_length_nm"):
            require_from(field, getattr(self, field), 1, "a length, or nothing")


def get_shop(session: Session) -> ShopRow:
    """The shop, or the starting assumptions when it has not been set up."""
    row = session.get(Shop, 1)
    return to_value(ShopRow, row) if row else ShopRow()


def shop_zone(session: Session) -> ZoneInfo | None:
    """The shop's time zone; None while it has said nothing and goes by the computer's."""
    row = session.execute(select(Shop.time_zone)).first()
    return ZoneInfo(row.time_zone) if row and row.time_zone else None


def shop_day(session: Session, moment: datetime) -> date:
    """The calendar day of a moment in the shop."""
    return moment.astimezone(shop_zone(session)).date()


def save_shop(session: Session, shop: ShopRow) -> ShopRow:
    """Keep the shop's data; refuses when they changed since `shop` was read."""
    row = session.get(Shop, 1)
    require_version("the shop's data", row.version if row else 0, shop.version)
    if row is None:
        row = Shop(id=1)
        session.add(row)
    for name, value in asdict(shop).items():
        if name != "version":
            setattr(row, name, value)
    session.flush()
    return to_value(ShopRow, row)


def settings(session: Session) -> dict[str, SettingRow]:
    """The allowances this shop has changed, by key."""
    return {row.key: to_value(SettingRow, row) for row in session.scalars(select(Setting).order_by(Setting.key))}


def put_setting(session: Session, setting: SettingRow) -> None:
    """Keep one changed allowance, new or again."""
    require_text("setting", setting.value, "a value")
    session.merge(Setting(key=setting.key, value=setting.value, unit=setting.unit))


def drop_setting(session: Session, key: str) -> None:
    """Go back to the published allowance."""
    row = session.get(Setting, key)
    if row is not None:
        session.delete(row)


def machines(session: Session, *, active_only: bool = True) -> tuple[MachineRow, ...]:
    """The machines by kind and label."""
    query = select(Machine).order_by(Machine.kind, Machine.label, Machine.id)
    if active_only:
        query = query.where(Machine.active)
    return tuple(to_value(MachineRow, row) for row in session.scalars(query))


def save_machine(session: Session, machine: MachineRow) -> MachineRow:
    """Keep a machine: a new one when its id is 0."""
    row = session.get(Machine, machine.id) if machine.id else Machine()
    if row is None:
        raise MissingReference("machine", str(machine.id), [str(known.id) for known in machines(session)])
    for name, value in asdict(machine).items():
        if name != "id":
            setattr(row, name, value)
    session.add(row)
    session.flush()
    return to_value(MachineRow, row)


def _require_between(field: str, value: int, low: int, high: int, expected: str) -> None:
    if not low <= value <= high:
        raise BadInput(field, value, expected)
