"""Extras and payments: what was added after agreeing, and what came in."""

from dataclasses import asdict, dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from journal.errors import BadInput, MissingReference
from journal.records.base import canonical, checksum
from journal.records.queries.values import require_from, require_text, to_value
from journal.records.tables import Extra, Payment
from journal.records.words import PaymentKind


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtraDraft:
    """An extra: what, on which day, for how much (below zero: less), how many days it takes (below zero: saves)."""

    on_date: date
    what: str
    net_cents: int
    tax_cents: int
    days: int

    def __post_init__(self) -> None:
        require_text("what", self.what, "a few words for what is added or taken away")

    @property
    def total_cents(self) -> int:
        """With tax."""
        return self.net_cents + self.tax_cents


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtraRow(ExtraDraft):
    """A kept extra. `damaged`: it no longer matches its checksum."""

    id: int
    project_id: int
    at: datetime
    damaged: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentDraft:
    """Money in, or given back, with the receipt's text."""

    number: str
    on_date: date
    kind: PaymentKind
    currency: str
    cents: int
    how: str
    note: str
    payload: str

    def __post_init__(self) -> None:
        require_text("number of the receipt", self.number, "a number, such as R26-001")
        require_text("receipt", self.payload, "what the receipt says")
        require_from("amount", self.cents, 1, "an amount above 0")
        if self.kind not in set(PaymentKind):
            raise BadInput("payment", self.kind, ", ".join(PaymentKind))


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentRow(PaymentDraft):
    """A kept payment. `damaged`: the receipt's text no longer matches its checksum."""

    id: int
    project_id: int
    at: datetime
    tool_version: str
    damaged: bool

    @property
    def in_cents(self) -> int:
        """What it brings the shop: less than nothing when money was given back."""
        return -self.cents if self.kind is PaymentKind.REFUND else self.cents


def extras(session: Session, project_id: int) -> tuple[ExtraRow, ...]:
    """The extras of a project, oldest first. One statement."""
    query = select(Extra).where(Extra.project_id == project_id).order_by(Extra.id)
    return tuple(_extra(row) for row in session.scalars(query))


def add_extra(session: Session, project_id: int, draft: ExtraDraft, now: datetime) -> ExtraRow:
    """Keep an extra for good."""
    row = Extra(project_id=project_id, at=now, sha256=_extra_sum(draft), **asdict(draft))
    session.add(row)
    session.flush()
    return _extra(row)


def payments(session: Session, project_id: int) -> tuple[PaymentRow, ...]:
    """The payments of a project, oldest first. One statement."""
    query = select(Payment).where(Payment.project_id == project_id).order_by(Payment.id)
    return tuple(_payment(row) for row in session.scalars(query))


def get_payment(session: Session, payment_id: int) -> PaymentRow:
    """One payment; MissingReference when there is none."""
    row = session.get(Payment, payment_id)
    if row is None:
        raise MissingReference("payment", str(payment_id), [])
    return _payment(row)


def next_receipt(session: Session, year: int) -> str:
    """The next free number of a year in the receipts' own series, such as R26-001."""
    head = f"R{year % 100:02d}-"
    numbers = session.scalars(select(Payment.number).where(Payment.number.startswith(head, autoescape=True)))
    tails = [number.removeprefix(head) for number in numbers]
    return f"{head}{max((int(tail) for tail in tails if tail.isascii() and tail.isdigit()), default=0) + 1:03d}"


def add_payment(
    session: Session, project_id: int, draft: PaymentDraft, *, tool_version: str, now: datetime
) -> PaymentRow:
    """Keep a payment for good."""
    row = Payment(
        project_id=project_id, at=now, sha256=checksum(draft.payload), tool_version=tool_version, **asdict(draft)
    )
    session.add(row)
    session.flush()
    return _payment(row)


def _extra(row: Extra) -> ExtraRow:
    return to_value(ExtraRow, row, damaged=_extra_sum(to_value(ExtraDraft, row)) != row.sha256)


def _extra_sum(draft: ExtraDraft) -> str:
    return checksum(canonical({**asdict(draft), "on_date": draft.on_date.isoformat()}))


def _payment(row: Payment) -> PaymentRow:
    return to_value(PaymentRow, row, damaged=checksum(row.payload) != row.sha256)
