"""Cutting plans that were kept with their project."""

from sqlalchemy import ForeignKeyConstraint, Index
from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import Base, Cents, Digest, Moment, Pk, Prose, Word, at_least, one_of
from journal.records.words import CuttingStatus


class CuttingPlan(Base):
    """How the boards of one stock are cut, as text with a checksum. The newest of a project and stock is in force.

    A row is changed once, when the search that it was written for ends.
    """

    __tablename__ = "cutting_plans"

    id: Mapped[Pk]
    project_id: Mapped[int]
    plan_version: Mapped[int]  # of the parts it was made for
    stock_code: Mapped[Word]
    problem_sha256: Mapped[Digest]  # of what is to be cut and by which rules; prices and counts left out
    payload: Mapped[Prose]  # JSON of the whole problem and its result; kept as text so that its bytes stay as they were
    sha256: Mapped[Digest]
    made_at: Mapped[Moment]
    status: Mapped[CuttingStatus] = mapped_column(one_of(CuttingStatus))
    cost_cents: Mapped[Cents]
    bound_cents: Mapped[Cents]
    ended: Mapped[Word]  # what ended the search; empty while it runs, or when it was cut short

    __table_args__ = (
        ForeignKeyConstraint(["project_id", "plan_version"], ["plans.project_id", "plans.version"]),
        Index(None, "project_id", "stock_code"),
        *at_least(0, "cost_cents", "bound_cents"),
    )
