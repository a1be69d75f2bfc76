"""Notes as they were written, and photos with where they hang."""

from sqlalchemy import CheckConstraint, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import Base, Day, Digest, Moment, Pk, Prose, Word, above_zero, at_least


class Note(Base):
    """Something written down about a project: the whole of it, a stage, an operation, or one time entry."""

    __tablename__ = "notes"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"), index=True)
    operation: Mapped[Word | None]
    stage: Mapped[Word | None]
    entry_id: Mapped[int | None] = mapped_column(ForeignKey("time_entries.id"), index=True)
    text: Mapped[Prose]  # may be empty where photos say it
    day: Mapped[Day]
    worker_id: Mapped[int | None] = mapped_column(ForeignKey("workers.id"), index=True)
    version: Mapped[int] = mapped_column()
    created_at: Mapped[Moment]
    changed_at: Mapped[Moment]
    removed_at: Mapped[Moment | None]

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy declares it as the instance's
    __table_args__ = (
        # What work a time entry is about is said by the entry, which may be put right later.
        CheckConstraint(
            "(operation IS NULL OR stage IS NULL) AND (entry_id IS NULL OR (operation IS NULL AND stage IS NULL))",
            name="about_one_thing",
        ),
    )


class Photo(Base):
    """A photo as it is kept on disk, named by the SHA-256 of its large picture; the same one twice is one row."""

    __tablename__ = "photos"

    id: Mapped[Pk]
    sha256: Mapped[Digest] = mapped_column(unique=True)
    bytes: Mapped[int]
    width: Mapped[int]
    height: Mapped[int]
    added_at: Mapped[Moment]

    __table_args__ = above_zero("bytes", "width", "height")


class PhotoPlace(Base):
    """Where a photo hangs: on a note or on a purchase. One taken down keeps its row."""

    __tablename__ = "photo_places"

    id: Mapped[Pk]
    photo_id: Mapped[int] = mapped_column(ForeignKey("photos.id"))
    note_id: Mapped[int | None] = mapped_column(ForeignKey("notes.id"), index=True)
    purchase_id: Mapped[int | None] = mapped_column(ForeignKey("purchases.id"), index=True)
    position: Mapped[int]
    removed_at: Mapped[Moment | None]

    __table_args__ = (
        UniqueConstraint("photo_id", "note_id"),
        UniqueConstraint("photo_id", "purchase_id"),
        CheckConstraint("(note_id IS NULL) <> (purchase_id IS NULL)", name="note_or_purchase"),
        *at_least(0, "position"),
    )
