"""Projects, their parts, the versions of their plans, and what was built."""

from typing import Any

from sqlalchemy import JSON, CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from journal.records.base import (
    Amount,
    Base,
    Cents,
    Day,
    Digest,
    Json,
    Moment,
    Nm,
    Pk,
    Prose,
    Word,
    above_zero,
    at_least,
    one_of,
)
from journal.records.frozen import Frozen
from journal.records.words import LaminatedAlong, ProjectState


class Project(Base):
    """One job, from enquiry to closed. The client is a kind ("private", "school"), never a person."""

    __tablename__ = "projects"

    id: Mapped[Pk]
    code: Mapped[Word] = mapped_column(unique=True)
    title: Mapped[Prose]
    client_kind: Mapped[Word]
    benches: Mapped[int]
    state: Mapped[ProjectState] = mapped_column(one_of(ProjectState), index=True)
    adhesive: Mapped[Word | None]  # class, as in shared/adhesives.csv
    finish: Mapped[Word | None]  # class, as in shared/finishes.csv
    coats: Mapped[int]
    design_word: Mapped[Word | None]
    enquired_on: Mapped[Day | None]
    agreed_on: Mapped[Day | None]
    started_on: Mapped[Day | None]
    delivered_on: Mapped[Day | None]
    agreed_price_cents: Mapped[Cents | None]
    agreed_minutes: Mapped[Amount | None]
    quoted_cost_cents: Mapped[Cents | None]
    note: Mapped[Prose]
    created_at: Mapped[Moment]
    updated_at: Mapped[Moment]
    version: Mapped[int] = mapped_column()
    design_values: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))  # as chosen, lengths in nm
    import_id: Mapped[int | None] = mapped_column(ForeignKey("imports.id"), index=True)
    promised_on: Mapped[Day | None]  # fixed at acceptance, moved by extras
    likelihood_pct: Mapped[int | None]  # that an outstanding quote is accepted

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy declares it as the instance's
    __table_args__ = (
        CheckConstraint("likelihood_pct >= 0 AND likelihood_pct <= 100", name="likelihood_pct_share"),
        *above_zero("benches"),
        *at_least(0, "coats", "agreed_price_cents", "agreed_minutes", "quoted_cost_cents"),
    )


class Part(Base):
    """A finished piece. Its uid stays when it is renamed; a part taken out keeps its row."""

    __tablename__ = "parts"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"))
    uid: Mapped[Word]
    position: Mapped[int]
    label: Mapped[Prose]
    quantity: Mapped[int]
    thickness_nm: Mapped[Nm]
    width_nm: Mapped[Nm]
    length_nm: Mapped[Nm]
    stock_code: Mapped[Word]
    strips: Mapped[int]
    laminated_along: Mapped[LaminatedAlong] = mapped_column(one_of(LaminatedAlong))
    faces: Mapped[Prose]  # words with spaces between: which faces are finished
    note: Mapped[Prose]
    removed_at: Mapped[Moment | None]

    features: Mapped[list["PartFeature"]] = relationship(
        cascade="all, delete-orphan", order_by="PartFeature.id", lazy="raise"
    )

    __table_args__ = (
        UniqueConstraint("project_id", "uid"),
        Index(None, "project_id", "position"),
        *at_least(0, "strips"),  # 0: as many as it takes
        *above_zero("quantity", "thickness_nm", "width_nm", "length_nm"),
    )


class PartFeature(Base):
    """What a part carries, on each piece: so many holes, so long a groove."""

    __tablename__ = "part_features"

    id: Mapped[Pk]
    part_id: Mapped[int] = mapped_column(ForeignKey("parts.id"), index=True)
    feature: Mapped[Word]
    count: Mapped[int | None]
    length_nm: Mapped[Nm | None]

    __table_args__ = above_zero("count", "length_nm")


class Plan(Frozen, Base):
    """One version of a project's parts and operations, as they stood; never changed afterwards."""

    __tablename__ = "plans"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"))
    version: Mapped[int]
    made_at: Mapped[Moment]
    reason: Mapped[Prose]
    parts: Mapped[Json]
    operations: Mapped[Json]  # code, quantity, setups
    sha256: Mapped[Digest]  # of the canonical text of both

    __table_args__ = (UniqueConstraint("project_id", "version"), *above_zero("version"))


class Built(Base):
    """How much of an operation was really done, where that differs from the plan."""

    __tablename__ = "built"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"))
    operation: Mapped[Word]
    quantity: Mapped[Amount]
    setups: Mapped[int]
    note: Mapped[Prose]
    import_id: Mapped[int | None] = mapped_column(ForeignKey("imports.id"), index=True)  # until it is changed

    __table_args__ = (UniqueConstraint("project_id", "operation"), *at_least(0, "quantity", "setups"))
