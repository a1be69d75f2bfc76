"""Extras and payments: what was added after agreeing, and what came in."""

from dataclasses import asdict, dataclass
from datetime import date, datetime
from hashlib import sha256

from sqlalchemy import select
from sqlalchemy.orm import InstrumentedAttribute, Session

from journal.errors import BadInput, MissingReference
from journal.records.base import canonical, checksum
from journal.records.queries.values import require_from, require_text, to_value
from journal.records.tables import Extra, ExtraPaper, Payment
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
    """A kept extra. `damaged`: it no longer matches its checksum; `number`: of its paper, '' where it has none."""

    id: int
    project_id: int
    at: datetime
    damaged: bool
    number: str = ""


@dataclass(frozen=True, slots=True)
class ExtraPrinted:
    """The paper of an extra to keep: its number, what it says, and its bytes."""

    number: str
    payload: str
    pdf: bytes


@dataclass(frozen=True, slots=True)
class ExtraPaperRow:
    """The paper of an extra as it was printed. `damaged`: text or bytes no longer match their checksum."""

    number: str
    payload: str
    pdf: bytes
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
    papers = select(Extra, ExtraPaper.number).outerjoin(ExtraPaper, ExtraPaper.extra_id == Extra.id)
    query = papers.where(Extra.project_id == project_id).order_by(Extra.id)
    return tuple(_extra(row, number or "") for row, number in session.execute(query))


def add_extra(session: Session, project_id: int, draft: ExtraDraft, now: datetime) -> ExtraRow:
    """Keep an extra for good."""
    row = Extra(project_id=project_id, at=now, sha256=_extra_sum(draft), **asdict(draft))
    session.add(row)
    session.flush()
    return _extra(row, "")


def add_extra_paper(session: Session, extra_id: int, printed: ExtraPrinted, *, tool_version: str) -> None:
    """Keep the paper of an extra for good."""
    session.add(
        ExtraPaper(
            extra_id=extra_id,
            number=printed.number,
            payload=printed.payload,
            sha256=checksum(printed.payload),
            pdf=printed.pdf,
            pdf_sha256=sha256(printed.pdf).hexdigest(),
            tool_version=tool_version,
        )
    )
    session.flush()


def get_extra_paper(session: Session, project_id: int, extra_id: int) -> ExtraPaperRow:
    """The paper of one of a project's extras, to the byte; MissingReference when there is none."""
    query = select(ExtraPaper).join(Extra, Extra.id == ExtraPaper.extra_id)
    row = session.scalar(query.where(Extra.project_id == project_id, Extra.id == extra_id))
    if row is None:
        known = [one.number for one in extras(session, project_id) if one.number]
        raise MissingReference("paper of an extra", str(extra_id), known)
    whole = checksum(row.payload) == row.sha256 and sha256(row.pdf).hexdigest() == row.pdf_sha256
    return ExtraPaperRow(row.number, row.payload, row.pdf, damaged=not whole)


def next_extra(session: Session, year: int) -> str:
    """The next free number of a year in the extras' own series, such as X26-001."""
    return _next(session, ExtraPaper.number, f"X{year % 100:02d}-")


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
    return _next(session, Payment.number, f"R{year % 100:02d}-")


def _next(session: Session, column: InstrumentedAttribute[str], head: str) -> str:
    numbers = session.scalars(select(column).where(column.startswith(head, autoescape=True)))
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


def _extra(row: Extra, number: str) -> ExtraRow:
    damaged = _extra_sum(to_value(ExtraDraft, row)) != row.sha256
    return to_value(ExtraRow, row, damaged=damaged, number=number)


def _extra_sum(draft: ExtraDraft) -> str:
    return checksum(canonical({**asdict(draft), "on_date": draft.on_date.isoformat()}))


def _payment(row: Payment) -> PaymentRow:
    return to_value(PaymentRow, row, damaged=checksum(row.payload) != row.sha256)
