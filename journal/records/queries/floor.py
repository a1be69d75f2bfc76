"""Coats and glue-ups as they went: what coverage and spread are learned from."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime

from sqlalchemy import exists, func, or_, select
from sqlalchemy.orm import Session

from journal.errors import MissingReference
from journal.records.queries.values import require_from, require_text, to_value
from journal.records.tables import Coat, GlueUp, Project, Tap, TimeEntry
from journal.records.words import FINISHED


@dataclass(frozen=True, slots=True, kw_only=True)
class CoatRow:
    """One coat; coat 1 is the first. id 0: not saved yet."""

    project_id: int
    finish: str
    coat: int
    area_mm2: int
    amount_ml: float
    on_date: date
    temperature_c: float | None = None
    humidity_pct: float | None = None
    note: str = ""
    parts: str | None = None
    at: datetime | None = None
    removed_at: datetime | None = None
    id: int = 0

    def __post_init__(self) -> None:
        require_text("finish", self.finish, "a class of finish")
        require_from("coat", self.coat, 1, "a whole number from 1")
        require_from("area", self.area_mm2, 1, "an area over 0")
        require_from("amount", self.amount_ml, 1e-6, "an amount over 0")
        require_from("humidity", self.humidity_pct, 0, "a share from 0 to 100%")


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueUpRow:
    """One clamping; times in seconds from the first glue. id 0: not saved yet."""

    project_id: int
    on_date: date
    label: str
    strips: int
    area_mm2: int
    glue_ml: float | None = None
    spread_seconds: int | None = None
    assembly_seconds: int | None = None
    clamps: int | None = None
    temperature_c: float | None = None
    clamped_at: datetime | None = None
    removed_at: datetime | None = None
    id: int = 0

    def __post_init__(self) -> None:
        require_from("strips", self.strips, 2, "a whole number from 2")
        require_from("area", self.area_mm2, 1, "an area over 0")
        require_from("glue", self.glue_ml, 1e-6, "an amount over 0, or nothing")


def coats(session: Session, *, project_id: int | None = None, since: date | None = None) -> tuple[CoatRow, ...]:
    """Coats that count, by day; of one project, and since a day, when these are named."""
    query = select(Coat).where(Coat.removed_at.is_(None)).order_by(Coat.on_date, Coat.id)
    if project_id is not None:
        query = query.where(Coat.project_id == project_id)
    if since is not None:
        query = query.where(Coat.on_date >= since)
    return tuple(to_value(CoatRow, row) for row in session.scalars(query))


def add_coat(session: Session, coat: CoatRow) -> CoatRow:
    """Keep one coat."""
    row = Coat(**_unsaved(coat))
    session.add(row)
    session.flush()
    return to_value(CoatRow, row)


def glue_ups(session: Session, *, project_id: int | None = None, since: date | None = None) -> tuple[GlueUpRow, ...]:
    """Glue-ups that count, by day; of one project, and since a day, when these are named."""
    query = select(GlueUp).where(GlueUp.removed_at.is_(None)).order_by(GlueUp.on_date, GlueUp.id)
    if project_id is not None:
        query = query.where(GlueUp.project_id == project_id)
    if since is not None:
        query = query.where(GlueUp.on_date >= since)
    return tuple(to_value(GlueUpRow, row) for row in session.scalars(query))


FEWEST_STRIPS = 4


@dataclass(frozen=True, slots=True)
class ClockedTotals:
    """Glue-ups that were clocked, taken together: how many, their area, clamps and seconds."""

    glue_ups: int
    area_mm2: int
    clamps: int
    spread_seconds: int
    close_seconds: int


def clocked(session: Session, before: date) -> ClockedTotals:
    """All clocked glue-ups of finished projects before a day. One statement.

    A project in build teaches nothing yet: its own plan must not change under its hands. A glue-up of a few strips is no
    race against the glue and says more about the watch than about the pace.
    """
    query = (
        select(
            func.count(GlueUp.id),
            func.sum(GlueUp.area_mm2),
            func.sum(GlueUp.clamps),
            func.sum(GlueUp.spread_seconds),
            func.sum(GlueUp.assembly_seconds - GlueUp.spread_seconds),
        )
        .join(Project, Project.id == GlueUp.project_id)
        .where(
            Project.state.in_(FINISHED),
            GlueUp.removed_at.is_(None),
            GlueUp.on_date < before,
            GlueUp.strips >= FEWEST_STRIPS,
            GlueUp.spread_seconds < GlueUp.assembly_seconds,
            GlueUp.clamps > 0,
        )
    )
    return ClockedTotals(*(int(value or 0) for value in session.execute(query).one()))


def add_glue_up(session: Session, glue_up: GlueUpRow) -> GlueUpRow:
    """Keep one glue-up."""
    row = GlueUp(**_unsaved(glue_up))
    session.add(row)
    session.flush()
    return to_value(GlueUpRow, row)


def worked_since(session: Session, project_id: int, moment: datetime) -> bool:
    """Whether any work kept of a project since then still counts: time, or a tap of the clock. One statement."""
    mine = (
        exists().where(
            TimeEntry.project_id == project_id, TimeEntry.created_at >= moment, TimeEntry.removed_at.is_(None)
        ),
        exists().where(Tap.project_id == project_id, Tap.received_at >= moment, Tap.voided_at.is_(None)),
    )
    return bool(session.scalar(select(or_(*mine))))


def get_coat(session: Session, coat_id: int) -> CoatRow:
    """One coat, removed or not; MissingReference when there is none."""
    return to_value(CoatRow, _coat(session, coat_id))


def get_glue_up(session: Session, glue_up_id: int) -> GlueUpRow:
    """One glue-up, removed or not; MissingReference when there is none."""
    return to_value(GlueUpRow, _glue_up(session, glue_up_id))


def change_coat(session: Session, coat_id: int, changes: Mapping[str, object]) -> CoatRow:
    """Put some fields of a coat to other values; refuses what no coat can be."""
    row = _coat(session, coat_id)
    after = replace(to_value(CoatRow, row), **changes)
    for name in changes:
        setattr(row, name, getattr(after, name))
    session.flush()
    return after


def change_glue_up(session: Session, glue_up_id: int, changes: Mapping[str, object]) -> GlueUpRow:
    """Put some fields of a glue-up to other values; refuses what no glue-up can be."""
    row = _glue_up(session, glue_up_id)
    after = replace(to_value(GlueUpRow, row), **changes)
    for name in changes:
        setattr(row, name, getattr(after, name))
    session.flush()
    return after


def _coat(session: Session, coat_id: int) -> Coat:
    row = session.get(Coat, coat_id)
    if row is None:
        raise MissingReference("coat", str(coat_id), [])
    return row


def _glue_up(session: Session, glue_up_id: int) -> GlueUp:
    row = session.get(GlueUp, glue_up_id)
    if row is None:
        raise MissingReference("glue-up", str(glue_up_id), [])
    return row


def _unsaved(value: CoatRow | GlueUpRow) -> dict[str, object]:
    return {name: content for name, content in asdict(value).items() if name != "id"}
