"""What corrects the plan of a build: the maker's edits of its steps, the lumber in stickers and its moisture."""

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import Amount, Base, Day, Moment, Pk, Prose, Word, above_zero, at_least, one_of
from journal.records.words import EditKind


class StepEdit(Base):
    """One change of a step, by the step's key. One that was taken back keeps its row, so that it can be put again."""

    __tablename__ = "step_edits"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"), index=True)
    made_at: Mapped[Moment]
    kind: Mapped[EditKind] = mapped_column(one_of(EditKind))
    step_key: Mapped[Prose]
    step_title: Mapped[Prose]  # as it was called when it was changed
    after_key: Mapped[Prose]
    text: Mapped[Prose]
    note: Mapped[Prose]
    minutes: Mapped[Amount]
    stage: Mapped[Word]
    share: Mapped[Amount]
    into_key: Mapped[Prose]
    taken_back_at: Mapped[Moment | None]

    __table_args__ = (*at_least(0, "minutes"), *above_zero("share"))


class Stack(Base):
    """A project's lumber in stickers: since when."""

    __tablename__ = "stacks"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"), unique=True)
    stacked_on: Mapped[Day]


class MoistureReading(Base):
    """What a moisture meter said of one board; one that was taken back keeps its row."""

    __tablename__ = "moisture_readings"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"), index=True)
    on_date: Mapped[Day]
    moisture_pct: Mapped[Amount]
    place: Mapped[Prose]
    made_at: Mapped[Moment]
    taken_back_at: Mapped[Moment | None]

    __table_args__ = at_least(0, "moisture_pct")
