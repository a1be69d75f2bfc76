"""What was promised and what came of it: quotes on paper, the moves of a project, extras, money in.

Nothing here is ever changed: a quote is superseded by a newer one, a move is undone by another, an extra is taken back
by one of the opposite amount, a payment by a refund.
"""

from typing import Any

from sqlalchemy import JSON, ForeignKey, ForeignKeyConstraint, Index, LargeBinary
from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import Amount, Base, Cents, Day, Digest, Moment, Pk, Prose, Word, above_zero, at_least, one_of
from journal.records.frozen import Frozen
from journal.records.words import DepositFate, PaymentKind, ProjectState


class Quote(Frozen, Base):
    """A quote as it was issued: everything it showed as text, the paper itself, checksums that show damage.

    The columns beside the text say again what lists ask for; a quote whose columns disagree with its text is damaged.
    """

    __tablename__ = "quotes"

    id: Mapped[Pk]
    project_id: Mapped[int]
    plan_version: Mapped[int]
    number: Mapped[Word] = mapped_column(unique=True)
    issued_at: Mapped[Moment]
    issued_on: Mapped[Day]
    valid_until: Mapped[Day]
    currency: Mapped[Word]
    net_cents: Mapped[Cents]
    tax_cents: Mapped[Cents]
    cost_cents: Mapped[Cents]  # expected, as estimated on the day
    minutes: Mapped[Amount]  # mean, person-minutes
    promised_days: Mapped[int | None]  # from deposit, agreed drawing and hardware in hand
    payload: Mapped[Prose]  # JSON; kept as text so that its bytes stay as they were
    sha256: Mapped[Digest]
    pdf: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    pdf_sha256: Mapped[Digest]
    tool_version: Mapped[Word]

    __table_args__ = (
        ForeignKeyConstraint(["project_id", "plan_version"], ["plans.project_id", "plans.version"]),
        Index(None, "project_id"),
        *at_least(0, "net_cents", "tax_cents", "cost_cents", "minutes", "promised_days"),
    )


class ProjectMove(Frozen, Base):
    """A project went from one state to another. The last one that stands can be undone, by a move that names it."""

    __tablename__ = "project_moves"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"))
    at: Mapped[Moment]
    on_date: Mapped[Day]
    from_state: Mapped[ProjectState] = mapped_column(one_of(ProjectState, "from_state"))
    to_state: Mapped[ProjectState] = mapped_column(one_of(ProjectState, "to_state"))
    reason: Mapped[Prose]
    quote_id: Mapped[int | None] = mapped_column(ForeignKey("quotes.id"), index=True)  # what was accepted
    net_cents: Mapped[Cents | None]  # what was agreed, before tax
    tax_cents: Mapped[Cents | None]
    deposit: Mapped[DepositFate | None] = mapped_column(one_of(DepositFate))  # of a project that was cancelled
    before: Mapped[dict[str, Any]] = mapped_column(JSON)  # what the project said where this move changed it
    undoes_id: Mapped[int | None] = mapped_column(ForeignKey("project_moves.id"), unique=True)

    __table_args__ = (
        Index(None, "project_id"),
        *at_least(0, "net_cents", "tax_cents"),
    )


class Extra(Frozen, Base):
    """What the client added, or took away (amounts below zero), after agreeing."""

    __tablename__ = "extras"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"), index=True)
    at: Mapped[Moment]
    on_date: Mapped[Day]
    what: Mapped[Prose]
    net_cents: Mapped[Cents]
    tax_cents: Mapped[Cents]
    days: Mapped[int]  # later; below zero: sooner
    sha256: Mapped[Digest]  # of the canonical text of all that


class ExtraPaper(Frozen, Base):
    """The paper of an extra as it was printed: its text, its bytes, checksums that show damage."""

    __tablename__ = "extra_papers"

    id: Mapped[Pk]
    extra_id: Mapped[int] = mapped_column(ForeignKey("extras.id"), unique=True)
    number: Mapped[Word] = mapped_column(unique=True)
    payload: Mapped[Prose]  # JSON: what the paper says
    sha256: Mapped[Digest]
    pdf: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    pdf_sha256: Mapped[Digest]
    tool_version: Mapped[Word]


class Payment(Frozen, Base):
    """Money that came in, or was given back; the receipt as it was written."""

    __tablename__ = "payments"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"), index=True)
    number: Mapped[Word] = mapped_column(unique=True)
    at: Mapped[Moment]
    on_date: Mapped[Day]
    kind: Mapped[PaymentKind] = mapped_column(one_of(PaymentKind))
    currency: Mapped[Word]
    cents: Mapped[Cents]
    how: Mapped[Word]
    note: Mapped[Prose]
    payload: Mapped[Prose]  # JSON: what the receipt says
    sha256: Mapped[Digest]
    tool_version: Mapped[Word]

    __table_args__ = above_zero("cents")
