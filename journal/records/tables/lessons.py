"""What a closed job leaves behind: lessons in words, and loose ends somebody chose to leave."""

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import Base, Moment, Pk, Prose, Word


class Lesson(Base):
    """Something to remember at the next estimate like it. One taken back keeps its row."""

    __tablename__ = "lessons"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"), index=True)
    at: Mapped[Moment]
    text: Mapped[Prose]
    removed_at: Mapped[Moment | None]


class LooseEnd(Base):
    """Something unfinished that was accepted as it is, and why."""

    __tablename__ = "loose_ends"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"))
    what: Mapped[Word]
    reason: Mapped[Prose]
    at: Mapped[Moment]

    __table_args__ = (UniqueConstraint("project_id", "what"),)
