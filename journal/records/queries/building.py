"""What corrects the plan of a build: edits of its steps, the stack of its lumber, moisture readings."""

from collections.abc import Collection
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from journal.errors import BadInput, MissingReference
from journal.records.queries.projects import stored
from journal.records.queries.values import require_from, require_text, to_value
from journal.records.tables import MoistureReading, Stack, StepEdit
from journal.records.words import EditKind

Row = TypeVar("Row", StepEdit, MoistureReading)
# More is no plan of one build any more, and would make every page that works it out slow.
MOST_EDITS, MOST_READINGS = 500, 2_000


@dataclass(frozen=True, slots=True, kw_only=True)
class EditDraft:
    """One change of a step; what a kind does not need stays empty."""

    kind: EditKind
    step_key: str
    step_title: str = ""
    after_key: str = ""
    text: str = ""
    note: str = ""
    minutes: float = 0.0
    stage: str = "shop"
    share: float = 0.5
    into_key: str = ""

    def __post_init__(self) -> None:
        require_text("step", self.step_key, "the key of a step")
        require_from("minutes", self.minutes, 0, "0 or more")


@dataclass(frozen=True, slots=True, kw_only=True)
class EditRow(EditDraft):
    """A kept change; `taken_back_at` is set while it is taken back."""

    id: int
    project_id: int
    made_at: datetime
    taken_back_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingDraft:
    """What a moisture meter said: on which day, of which board."""

    on_date: date
    moisture_pct: float
    place: str = ""

    def __post_init__(self) -> None:
        require_from("moisture", self.moisture_pct, 0, "0 to 100 %")
        if self.moisture_pct > 100:
            raise BadInput("moisture", self.moisture_pct, "0 to 100 %")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow(ReadingDraft):
    """A kept reading."""

    id: int
    project_id: int
    taken_back_at: datetime | None = None


def edits(session: Session, project_id: int) -> tuple[EditRow, ...]:
    """The changes that hold, in the order in which they were made."""
    query = select(StepEdit).where(StepEdit.project_id == project_id, StepEdit.taken_back_at.is_(None))
    return tuple(to_value(EditRow, row) for row in session.scalars(query.order_by(StepEdit.id)))


def edits_of_all(session: Session, project_ids: Collection[int]) -> dict[int, tuple[EditRow, ...]]:
    """The changes that hold by project, each in the order in which they were made. One statement."""
    query = select(StepEdit).where(StepEdit.project_id.in_(project_ids), StepEdit.taken_back_at.is_(None))
    found: dict[int, list[EditRow]] = {}
    for row in session.scalars(query.order_by(StepEdit.id)):
        found.setdefault(row.project_id, []).append(to_value(EditRow, row))
    return {project_id: tuple(rows) for project_id, rows in found.items()}


def get_edit(session: Session, project_id: int, edit_id: int) -> EditRow:
    """One change of a project, taken back or not; MissingReference when there is none."""
    return to_value(EditRow, _one(session, StepEdit, project_id, edit_id))


def add_edit(session: Session, project_id: int, draft: EditDraft, *, now: datetime) -> EditRow:
    """Keep a change.

    Raises:
        BadInput: too many hold already.
    """
    stored(session, project_id, lock=True)
    if len(edits(session, project_id)) >= MOST_EDITS:
        raise BadInput("changes of steps", MOST_EDITS, f"at most {MOST_EDITS}; take some back first")
    row = StepEdit(project_id=project_id, made_at=now, **asdict(draft))
    session.add(row)
    session.flush()
    return to_value(EditRow, row)


def take_back_edit(session: Session, project_id: int, edit_id: int, when: datetime | None) -> EditRow:
    """Take a change back, or (with no moment) let it hold again."""
    return to_value(EditRow, _taken_back(session, StepEdit, project_id, edit_id, when))


def stacked_on(session: Session, project_id: int) -> date | None:
    """The day the project's lumber was put in stickers; None when nobody said."""
    return session.scalar(select(Stack.stacked_on).where(Stack.project_id == project_id))


def put_stack(session: Session, project_id: int, on: date) -> None:
    """Say since when the lumber is in stickers."""
    stored(session, project_id, lock=True)
    row = session.scalar(select(Stack).where(Stack.project_id == project_id)) or Stack(project_id=project_id)
    row.stacked_on = on
    session.add(row)
    session.flush()


def readings(session: Session, project_id: int) -> tuple[ReadingRow, ...]:
    """The readings that hold, oldest first."""
    query = select(MoistureReading).where(
        MoistureReading.project_id == project_id, MoistureReading.taken_back_at.is_(None)
    )
    ordered = query.order_by(MoistureReading.on_date, MoistureReading.id)
    return tuple(to_value(ReadingRow, row) for row in session.scalars(ordered))


def get_reading(session: Session, project_id: int, reading_id: int) -> ReadingRow:
    """One reading of a project, taken back or not; MissingReference when there is none."""
    return to_value(ReadingRow, _one(session, MoistureReading, project_id, reading_id))


def add_reading(session: Session, project_id: int, draft: ReadingDraft, *, now: datetime) -> ReadingRow:
    """Keep a reading.

    Raises:
        BadInput: too many hold already.
    """
    stored(session, project_id, lock=True)
    if len(readings(session, project_id)) >= MOST_READINGS:
        raise BadInput("readings", MOST_READINGS, f"at most {MOST_READINGS:,} of one project")
    row = MoistureReading(project_id=project_id, made_at=now, **asdict(draft))
    session.add(row)
    session.flush()
    return to_value(ReadingRow, row)


def take_back_reading(session: Session, project_id: int, reading_id: int, when: datetime | None) -> ReadingRow:
    """Take a reading back, or (with no moment) let it hold again."""
    return to_value(ReadingRow, _taken_back(session, MoistureReading, project_id, reading_id, when))


def _one(session: Session, table: type[Row], project_id: int, row_id: int) -> Row:
    row = session.get(table, row_id)
    if row is None or row.project_id != project_id:
        what = "change of a step" if table is StepEdit else "moisture reading"
        raise MissingReference(f"{what} of this project", str(row_id), [])
    return row


def _taken_back(session: Session, table: type[Row], project_id: int, row_id: int, when: datetime | None) -> Row:
    stored(session, project_id, lock=True)
    row = _one(session, table, project_id, row_id)
    row.taken_back_at = when
    session.flush()
    return row
