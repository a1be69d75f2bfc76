"""Spreadsheets of past jobs that were taken in."""

from sqlalchemy.orm import Mapped

from journal.records.base import Base, Day, Digest, Moment, Pk, Prose, at_least


class Import(Base):
    """One spreadsheet taken in whole. What came with it points here until it is edited; undone, nothing of it is left."""

    __tablename__ = "imports"

    id: Mapped[Pk]
    at: Mapped[Moment]
    source: Mapped[Prose]  # the file's name, or that it was pasted
    sha256: Mapped[Digest]  # of what was sent
    projects: Mapped[int]
    entries: Mapped[int]
    quantities: Mapped[int]
    seconds: Mapped[int]  # of one person, in all
    first_on: Mapped[Day]
    last_on: Mapped[Day]
    rework_told: Mapped[bool]  # whether the sheet said what was done again; if not, its silence is no evidence

    __table_args__ = at_least(0, "projects", "entries", "quantities", "seconds")
