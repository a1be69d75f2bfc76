"""Lessons written down at the end of a job, and loose ends accepted as they are."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Row, Select, or_, select
from sqlalchemy.orm import Session, aliased

from journal.errors import Conflict, MissingReference
from journal.records.queries.values import require_text, to_value
from journal.records.tables import Lesson, LooseEnd, Part, Project, StockItem


@dataclass(frozen=True, slots=True)
class LessonRow:
    """A lesson and the project it comes from."""

    id: int
    project_id: int
    project_code: str
    project_title: str
    at: datetime
    text: str


@dataclass(frozen=True, slots=True)
class LooseEndRow:
    """Something unfinished that was accepted as it is."""

    project_id: int
    what: str
    reason: str
    at: datetime


def lessons(session: Session, project_id: int) -> tuple[LessonRow, ...]:
    """A project's own, oldest first. One statement."""
    return _rows(session, _lessons().where(Lesson.project_id == project_id))


def lessons_like(session: Session, project_id: int) -> tuple[LessonRow, ...]:
    """Those of other projects of the same design, or in a wood that this one holds too. One statement."""
    mine, theirs = aliased(Part), aliased(Part)
    my_item, their_item = aliased(StockItem), aliased(StockItem)
    woods = (
        select(my_item.species)
        .join(mine, mine.stock_code == my_item.code)
        .where(mine.project_id == project_id, mine.removed_at.is_(None), my_item.species.is_not(None))
    )
    alike = (
        select(theirs.project_id)
        .join(their_item, their_item.code == theirs.stock_code)
        .where(theirs.removed_at.is_(None), their_item.species.in_(woods))
    )
    design = select(Project.design_word).where(Project.id == project_id).scalar_subquery()
    near = or_(Project.design_word == design, Lesson.project_id.in_(alike))
    return _rows(session, _lessons().where(Lesson.project_id != project_id, near))


def add_lesson(session: Session, project_id: int, text: str, *, now: datetime) -> int:
    """Keep a lesson; answers its number."""
    require_text("lesson", text, "a few words")
    row = Lesson(project_id=project_id, at=now, text=text, removed_at=None)
    session.add(row)
    session.flush()
    return row.id


def remove_lesson(session: Session, project_id: int, lesson_id: int, *, now: datetime) -> None:
    """Show it no more; its row stays."""
    row = session.get(Lesson, lesson_id)
    if row is None or row.project_id != project_id:
        raise MissingReference("lesson", str(lesson_id), [])
    if row.removed_at is None:
        row.removed_at = now
        session.flush()


def loose_ends(session: Session, project_id: int) -> dict[str, LooseEndRow]:
    """What was accepted, by what it is. One statement."""
    rows = session.scalars(select(LooseEnd).where(LooseEnd.project_id == project_id))
    return {row.what: to_value(LooseEndRow, row) for row in rows}


def accept(session: Session, project_id: int, what: str, reason: str, *, now: datetime) -> None:
    """Keep that it stays as it is, and why; Conflict where that was said already."""
    require_text("reason", reason, "why it stays as it is")
    if what in loose_ends(session, project_id):
        raise Conflict("this loose end", "it is accepted already; open the page again")
    session.add(LooseEnd(project_id=project_id, what=what, reason=reason, at=now))
    session.flush()


def _lessons() -> Select[Lesson, str, str]:
    query = select(Lesson, Project.code, Project.title).join(Project, Project.id == Lesson.project_id)
    return query.where(Lesson.removed_at.is_(None)).order_by(Lesson.at, Lesson.id)


def _rows(session: Session, query: Select[Lesson, str, str]) -> tuple[LessonRow, ...]:
    def value(row: Row[Lesson, str, str]) -> LessonRow:
        lesson, code, title = row
        return LessonRow(lesson.id, lesson.project_id, code, title, lesson.at, lesson.text)

    return tuple(value(row) for row in session.execute(query))
