"""The shop's open hours and days off; how likely projects are; what hardware takes, and what a client brings."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from journal.errors import BadInput, MissingReference
from journal.records.queries.projects import stored
from journal.records.tables import ClientHardware, Project, Setting, ShopDaysOff, ShopHours, StockItem
from journal.records.words import StockForm

# A setting without a starting value: nothing typed means that room limits nothing.
PLACES = "drying_places"


@dataclass(frozen=True, slots=True)
class HoursRow:
    """Open from one minute of a weekday to another; 0 is Monday, and midnight."""

    weekday: int
    opens_minute: int
    closes_minute: int


@dataclass(frozen=True, slots=True)
class DaysOffRow:
    """Closed from one day to another, both included. id 0: not saved yet."""

    first_on: date
    last_on: date
    why: str = ""
    id: int = 0


@dataclass(frozen=True, slots=True)
class LeadRow:
    """A piece of hardware: its code, the word its feature has in a part list, and days until it is in hand; None: usual."""

    item_id: int
    code: str
    feature: str
    lead_days: int | None


def hours(session: Session) -> tuple[HoursRow, ...]:
    """The typed hours, Monday first; none: nothing was typed."""
    query = select(ShopHours).order_by(ShopHours.weekday, ShopHours.opens_minute)
    return tuple(HoursRow(row.weekday, row.opens_minute, row.closes_minute) for row in session.scalars(query))


def put_hours(session: Session, rows: Sequence[HoursRow]) -> None:
    """Keep the hours of the week in stead of those there were."""
    session.execute(delete(ShopHours))
    session.add_all(
        ShopHours(weekday=row.weekday, opens_minute=row.opens_minute, closes_minute=row.closes_minute) for row in rows
    )


def days_off(session: Session, *, since: date | None = None) -> tuple[DaysOffRow, ...]:
    """The days off, the earliest first; with `since` those not over by then."""
    query = select(ShopDaysOff).order_by(ShopDaysOff.first_on, ShopDaysOff.id)
    if since is not None:
        query = query.where(ShopDaysOff.last_on >= since)
    return tuple(DaysOffRow(row.first_on, row.last_on, row.why, row.id) for row in session.scalars(query))


def add_days_off(session: Session, row: DaysOffRow) -> None:
    """Keep some days off."""
    session.add(ShopDaysOff(first_on=row.first_on, last_on=row.last_on, why=row.why))


def drop_days_off(session: Session, row_id: int) -> None:
    """Open again; days off that are gone already stay gone."""
    session.execute(delete(ShopDaysOff).where(ShopDaysOff.id == row_id))


def places(session: Session) -> int | None:
    """Places for what stands in clamps or dries; None: room limits nothing."""
    row = session.get(Setting, PLACES)
    return int(row.value) if row else None


def put_places(session: Session, count: int | None) -> None:
    """Keep how many places there are; None takes the limit away."""
    row = session.get(Setting, PLACES)
    if count is not None:
        session.merge(Setting(key=PLACES, value=str(count), unit="count"))
    elif row:
        session.delete(row)
    session.flush()


def leads(session: Session) -> tuple[LeadRow, ...]:
    """Every piece of hardware by code."""
    query = (
        select(StockItem)
        .where(StockItem.form == StockForm.HARDWARE, StockItem.archived.is_(False))
        .order_by(StockItem.code)
    )
    return tuple(LeadRow(row.id, row.code, row.class_key or "", row.lead_days) for row in session.scalars(query))


def put_leads(session: Session, days: Mapping[int, int | None]) -> None:
    """Keep what pieces of hardware take, by id."""
    for row in session.scalars(select(StockItem).where(StockItem.id.in_(days))):
        row.lead_days = days[row.id]


def likelihoods(session: Session) -> dict[int, int]:
    """How likely projects are to come, in per cent by id, where it was said."""
    query = select(Project.id, Project.likelihood_pct).where(Project.likelihood_pct.is_not(None))
    return {project: int(likely) for project, likely in session.execute(query) if likely is not None}


def put_likelihood(session: Session, project_id: int, per_cent: int | None) -> None:
    """Say how likely a project is; not a change of the project that a form open elsewhere must know of.

    Raises:
        BadInput: outside 0 to 100.
        MissingReference: no such project.
    """
    if per_cent is not None and not 0 <= per_cent <= 100:
        raise BadInput("likelihood", per_cent, "0 to 100 %")
    found = session.execute(update(Project).where(Project.id == project_id).values(likelihood_pct=per_cent))
    if not found.rowcount:  # type: ignore[attr-defined]
        raise MissingReference("project", str(project_id), [])


def brought(session: Session, project_id: int) -> frozenset[str]:
    """The kinds of hardware that a project's client brings."""
    query = select(ClientHardware.feature).where(ClientHardware.project_id == project_id)
    return frozenset(session.scalars(query))


def put_brought(session: Session, project_id: int, features: Collection[str]) -> None:
    """Keep what a client brings in stead of what was said before."""
    stored(session, project_id)
    session.execute(delete(ClientHardware).where(ClientHardware.project_id == project_id))
    session.add_all(ClientHardware(project_id=project_id, feature=feature) for feature in sorted(set(features)))
