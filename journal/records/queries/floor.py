"""Coats and glue-ups as they went: what coverage and spread are learned from."""

from dataclasses import asdict, dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from journal.records.queries.values import require_from, require_text, to_value
from journal.records.tables import Coat, GlueUp, Project
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
    id: int = 0

    def __post_init__(self) -> None:
        require_from("strips", self.strips, 2, "a whole number from 2")
        require_from("area", self.area_mm2, 1, "an area over 0")
        require_from("glue", self.glue_ml, 1e-6, "an amount over 0, or nothing")


def coats(session: Session, *, project_id: int | None = None) -> tuple[CoatRow, ...]:
    """Coats by day; of one project when it is named."""
    query = select(Coat).order_by(Coat.on_date, Coat.id)
    if project_id is not None:
        query = query.where(Coat.project_id == project_id)
    return tuple(to_value(CoatRow, row) for row in session.scalars(query))


def add_coat(session: Session, coat: CoatRow) -> CoatRow:
    """Keep one coat."""
    row = Coat(**_unsaved(coat))
    session.add(row)
    session.flush()
    return to_value(CoatRow, row)


def glue_ups(session: Session, *, project_id: int | None = None) -> tuple[GlueUpRow, ...]:
    """Glue-ups by day; of one project when it is named."""
    query = select(GlueUp).order_by(GlueUp.on_date, GlueUp.id)
    if project_id is not None:
        query = query.where(GlueUp.project_id == project_id)
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


def _unsaved(value: CoatRow | GlueUpRow) -> dict[str, object]:
    return {name: content for name, content in asdict(value).items() if name != "id"}
