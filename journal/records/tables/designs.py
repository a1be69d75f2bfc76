"""The shop's own designs."""

from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import Base, Moment, Pk, Prose, Word


class Design(Base):
    """A parametric bench as its text; those that come with the program stay files and are not kept here."""

    __tablename__ = "designs"

    id: Mapped[Pk]
    word: Mapped[Word] = mapped_column(unique=True)
    title: Mapped[Prose]
    text: Mapped[Prose]
    archived: Mapped[bool]
    created_at: Mapped[Moment]
    updated_at: Mapped[Moment]
    version: Mapped[int] = mapped_column()

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy declares it as the instance's
