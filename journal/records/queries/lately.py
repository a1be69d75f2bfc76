"""What was done last, section by section, and how what it touched stands now. One statement each, newest first."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from journal.records.queries.acts import ActRow
from journal.records.queries.building import EditRow
from journal.records.queries.moves import MoveRow
from journal.records.queries.values import to_value
from journal.records.tables import (
    Coat,
    Extra,
    ExtraPaper,
    GlueClock,
    GlueTick,
    GlueUp,
    Import,
    LogAct,
    MoistureReading,
    Note,
    Payment,
    PhotoPlace,
    Plan,
    Project,
    ProjectMove,
    PurchaseLine,
    Quote,
    RackAct,
    RackBoard,
    RackMove,
    StepEdit,
    Tap,
    TimeEntry,
    Worker,
)
from journal.records.words import PaymentKind


@dataclass(frozen=True, slots=True)
class ProjectName:
    """A project as a list names it, with the version its page was made from."""

    id: int
    code: str
    title: str
    version: int


@dataclass(frozen=True, slots=True)
class Subject:
    """What a step of an act is about, as it stands now: its project and person, and every column."""

    project_id: int | None
    worker_id: int | None
    values: Mapping[str, Any] = field(hash=False)


@dataclass(frozen=True, slots=True)
class RackDone:
    """One thing done on the rack; `undone`: another act took it back."""

    id: int
    at: datetime
    said: str
    project_id: int | None
    undone: bool


@dataclass(frozen=True, slots=True)
class Version:
    """A version of a project's plan."""

    project_id: int
    version: int
    made_at: datetime
    reason: str


@dataclass(frozen=True, slots=True)
class Reading:
    """A moisture reading; `taken_back` while it does not count."""

    id: int
    project_id: int
    at: datetime
    moisture_pct: float
    place: str
    taken_back: bool


@dataclass(frozen=True, slots=True)
class Taken:
    """A spreadsheet that was taken in."""

    id: int
    at: datetime
    source: str
    projects: int


@dataclass(frozen=True, slots=True)
class Promised:
    """A quote, an extra or money in: its number (what it is about, where it has none), amount and currency."""

    what: str  # quote, extra, payment, refund
    project_id: int
    at: datetime
    number: str
    cents: int
    currency: str


# What a step may be about, by the word of its kind.
_TABLES = {
    "entry": TimeEntry,
    "tap": Tap,
    "coat": Coat,
    "glue_up": GlueUp,
    "glue_clock": GlueClock,
    "note": Note,
    "photo": PhotoPlace,
}


def acts(session: Session, most: int) -> tuple[ActRow, ...]:
    """What was done to the log, coats, glue-ups, notes and photos, taken back or not."""
    query = select(LogAct).order_by(LogAct.id.desc()).limit(most)
    return tuple(to_value(ActRow, row) for row in session.scalars(query))


def subjects(session: Session, ids: Mapping[str, Collection[int]]) -> dict[tuple[str, int], Subject]:
    """What steps are about, by kind and number. One statement a kind, also for none of it."""
    found: dict[tuple[str, int], Subject] = {}
    for kind, table in _TABLES.items():
        names = [column.name for column in table.__table__.columns]
        for row in session.scalars(select(table).where(table.id.in_(ids.get(kind, ())))):
            values = {name: getattr(row, name) for name in names}
            found[kind, row.id] = Subject(values.get("project_id"), values.get("worker_id"), values)
    hung = select(PhotoPlace.id, Note.project_id).join(Note, Note.id == PhotoPlace.note_id)
    for place, project in session.execute(hung.where(PhotoPlace.id.in_(ids.get("photo", ())))):
        found["photo", place] = replace(found["photo", place], project_id=project)
    ticks = select(GlueTick.id, GlueClock.project_id).join(GlueClock, GlueClock.id == GlueTick.clock_id)
    for tick, project in session.execute(ticks.where(GlueTick.id.in_(ids.get("glue_tick", ())))):
        found["glue_tick", tick] = Subject(project, None, {})
    return found


def rack_acts(session: Session, most: int) -> tuple[RackDone, ...]:
    """What was done on the rack and with receipts; what only took something back is said by that."""
    back = RackAct.__table__.alias("back")
    columns = (RackAct.id, RackAct.at, RackAct.said, RackAct.project_id, back.c.id)
    query = select(*columns).outerjoin(back, back.c.undoes_id == RackAct.id).where(RackAct.undoes_id.is_(None))
    rows = session.execute(query.order_by(RackAct.id.desc()).limit(most))
    return tuple(RackDone(act, at, said, project, by is not None) for act, at, said, project, by in rows)


def moved_on(session: Session, act_ids: Collection[int]) -> frozenset[int]:
    """Acts of the rack of which a board, or a line of a receipt, has changed since. Three statements."""
    found = set()
    moves = select(RackMove.act_id, RackMove.after, RackBoard).join(RackBoard, RackBoard.id == RackMove.board_id)
    for act_id, after, board in session.execute(moves.where(RackMove.act_id.in_(act_ids))):
        if any(_plain(getattr(board, name)) != value for name, value in after.items()):
            found.add(act_id)
    kept = session.execute(select(RackAct.id, RackAct.lines).where(RackAct.id.in_(act_ids)))
    fates = {act_id: lines for act_id, lines in kept}  # noqa: C416 - a row is no pair to mypy
    named = {line["id"] for lines in fates.values() for line in lines}
    query = select(PurchaseLine.id, PurchaseLine.used_quantity, PurchaseLine.rejected_quantity)
    now = {line: [used, bad] for line, used, bad in session.execute(query.where(PurchaseLine.id.in_(named)))}
    found |= {act_id for act_id, lines in fates.items() if any(now.get(one["id"]) != one["after"] for one in lines)}
    return frozenset(found)


def moves(session: Session, most: int) -> tuple[MoveRow, ...]:
    """Steps of projects from state to state, those that take one back among them."""
    query = select(ProjectMove).order_by(ProjectMove.id.desc()).limit(most)
    return tuple(to_value(MoveRow, row) for row in session.scalars(query))


def moves_of(session: Session, project_ids: Collection[int]) -> dict[int, tuple[MoveRow, ...]]:
    """All steps of some projects, oldest first."""
    query = select(ProjectMove).where(ProjectMove.project_id.in_(project_ids)).order_by(ProjectMove.id)
    found: dict[int, list[MoveRow]] = {}
    for row in session.scalars(query):
        found.setdefault(row.project_id, []).append(to_value(MoveRow, row))
    return {project: tuple(rows) for project, rows in found.items()}


def with_extras(session: Session, project_ids: Collection[int]) -> frozenset[int]:
    """Which of some projects have an extra."""
    query = select(Extra.project_id).where(Extra.project_id.in_(project_ids)).distinct()
    return frozenset(session.scalars(query))


def versions(session: Session, most: int, *, besides: str) -> tuple[Version, ...]:
    """Versions of part lists; not those whose reason begins with `besides`."""
    columns = Plan.project_id, Plan.version, Plan.made_at, Plan.reason
    query = select(*columns).where(Plan.reason.not_like(f"{besides}%")).order_by(Plan.id.desc()).limit(most)
    return tuple(Version(*row) for row in session.execute(query))


def versions_of(session: Session, project_ids: Collection[int]) -> dict[int, tuple[Version, ...]]:
    """All versions of the plans of some projects, oldest first."""
    columns = Plan.project_id, Plan.version, Plan.made_at, Plan.reason
    found: dict[int, list[Version]] = {}
    query = select(*columns).where(Plan.project_id.in_(project_ids)).order_by(Plan.project_id, Plan.version)
    for row in session.execute(query):
        found.setdefault(row[0], []).append(Version(*row))
    return {project: tuple(rows) for project, rows in found.items()}


def edits(session: Session, most: int) -> tuple[EditRow, ...]:
    """Changes of steps, taken back or not."""
    query = select(StepEdit).order_by(StepEdit.id.desc()).limit(most)
    return tuple(to_value(EditRow, row) for row in session.scalars(query))


def readings(session: Session, most: int) -> tuple[Reading, ...]:
    """Moisture readings, taken back or not."""
    query = select(MoistureReading).order_by(MoistureReading.id.desc()).limit(most)
    return tuple(
        Reading(row.id, row.project_id, row.made_at, row.moisture_pct, row.place, row.taken_back_at is not None)
        for row in session.scalars(query)
    )


def imports(session: Session, most: int) -> tuple[Taken, ...]:
    """Spreadsheets that were taken in."""
    columns = Import.id, Import.at, Import.source, Import.projects
    query = select(*columns).order_by(Import.id.desc()).limit(most)
    return tuple(Taken(*row) for row in session.execute(query))


def promised(session: Session, most: int) -> tuple[Promised, ...]:
    """Quotes, extras and payments; amounts of quotes and extras with tax."""
    found = []
    quote = (
        select(Quote.project_id, Quote.issued_at, Quote.number, Quote.net_cents + Quote.tax_cents, Quote.currency)
        .order_by(Quote.id.desc())
        .limit(most)
    )
    found += [Promised("quote", *row) for row in session.execute(quote)]
    extra = (
        select(Extra.project_id, Extra.at, Extra.what, ExtraPaper.number, Extra.net_cents + Extra.tax_cents)
        .outerjoin(ExtraPaper, ExtraPaper.extra_id == Extra.id)
        .order_by(Extra.id.desc())
        .limit(most)
    )
    found += [
        Promised("extra", project, at, number or what, cents, "")
        for project, at, what, number, cents in session.execute(extra)
    ]
    paid = (
        select(Payment.project_id, Payment.at, Payment.number, Payment.cents, Payment.currency, Payment.kind)
        .order_by(Payment.id.desc())
        .limit(most)
    )
    for *row, kind in session.execute(paid):
        found.append(Promised("refund" if kind is PaymentKind.REFUND else "payment", *row))
    return tuple(found)


def names(session: Session, project_ids: Collection[int]) -> dict[int, ProjectName]:
    """Projects by id."""
    query = select(Project.id, Project.code, Project.title, Project.version).where(Project.id.in_(project_ids))
    return {row[0]: ProjectName(*row) for row in session.execute(query)}


def people(session: Session) -> dict[int, str]:
    """Everybody who is or was at the bench, by id."""
    return {worker: label for worker, label in session.execute(select(Worker.id, Worker.label))}  # noqa: C416 - a row


def _plain(value: Any) -> Any:  # noqa: ANN401 - what JSON can hold
    return [list(one) for one in value] if isinstance(value, (list, tuple)) else value
