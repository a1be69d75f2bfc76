"""Estimates as they were given. A promise never changes."""

from sqlalchemy import ForeignKeyConstraint, Index
from sqlalchemy.orm import Mapped

from journal.records.base import Base, Digest, Moment, Pk, Prose, Word
from journal.records.frozen import Frozen


class Estimate(Frozen, Base):
    """Everything an estimate showed, as text, with a checksum that shows damage."""

    __tablename__ = "estimates"

    id: Mapped[Pk]
    project_id: Mapped[int]
    plan_version: Mapped[int]
    made_at: Mapped[Moment]
    reason: Mapped[Prose]
    payload: Mapped[Prose]  # JSON; kept as text so that its bytes stay as they were
    sha256: Mapped[Digest]
    tool_version: Mapped[Word]

    __table_args__ = (
        ForeignKeyConstraint(["project_id", "plan_version"], ["plans.project_id", "plans.version"]),
        Index(None, "project_id", "made_at"),
    )
