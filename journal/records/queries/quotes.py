"""Quotes as they were issued: the text, the paper, and what lists ask of them."""

from collections.abc import Collection
from dataclasses import asdict, dataclass
from datetime import date, datetime
from hashlib import sha256

from sqlalchemy import Row, Select, select
from sqlalchemy.orm import Session

from journal.errors import MissingReference
from journal.records.base import checksum
from journal.records.queries.plans import get_plan
from journal.records.queries.values import require_from, require_text, to_value
from journal.records.tables import Quote


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteFacts:
    """What lists ask of a quote; its text says the same."""

    number: str
    issued_on: date
    valid_until: date
    currency: str
    net_cents: int
    tax_cents: int
    cost_cents: int
    minutes: float
    promised_days: int | None = None

    def __post_init__(self) -> None:
        require_text("number of the quote", self.number, "a number, such as Q26-001")
        require_from("price", self.net_cents, 0, "an amount, 0 or more")
        require_from("tax", self.tax_cents, 0, "an amount, 0 or more")
        require_from("cost", self.cost_cents, 0, "an amount, 0 or more")
        require_from("promised days", self.promised_days, 0, "a number of days, 0 or more")

    @property
    def total_cents(self) -> int:
        """What is to be paid."""
        return self.net_cents + self.tax_cents


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteDraft(QuoteFacts):
    """A quote to keep: its text, the paper, the version of the plan it is of."""

    plan_version: int
    payload: str
    pdf: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteHead(QuoteFacts):
    """One line of a list of quotes, without its text."""

    id: int
    project_id: int
    issued_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteRow(QuoteHead):
    """A quote with its text. `damaged`: the text no longer matches the checksum it was stored with."""

    plan_version: int
    payload: str
    sha256: str
    pdf_sha256: str
    tool_version: str
    damaged: bool


@dataclass(frozen=True, slots=True)
class Paper:
    """A quote as it was printed. `damaged`: the bytes no longer match their checksum."""

    number: str
    pdf: bytes
    damaged: bool


def quotes(session: Session, project_id: int) -> tuple[QuoteHead, ...]:
    """The quotes of a project, newest first. One statement."""
    query = _heads().where(Quote.project_id == project_id).order_by(Quote.id.desc())
    return tuple(_head(row) for row in session.execute(query))


def all_quotes(session: Session) -> tuple[QuoteHead, ...]:
    """Every quote, oldest first, without its text. One statement."""
    return tuple(_head(row) for row in session.execute(_heads().order_by(Quote.id)))


def get_quote(session: Session, quote_id: int) -> QuoteRow:
    """One quote, checked against its checksum; MissingReference when there is none."""
    return _value(_stored(session, quote_id))


def with_text(session: Session, quote_ids: Collection[int]) -> dict[int, QuoteRow]:
    """Quotes by their ids, each checked against its checksum. One statement."""
    return {row.id: _value(row) for row in session.scalars(select(Quote).where(Quote.id.in_(quote_ids)))}


def get_paper(session: Session, quote_id: int) -> Paper:
    """The printed bytes of a quote, checked against their checksum; MissingReference when there is none."""
    row = _stored(session, quote_id)
    return Paper(row.number, row.pdf, sha256(row.pdf).hexdigest() != row.pdf_sha256)


def next_number(session: Session, year: int) -> str:
    """The next free number of a year in the quotes' own series, such as Q26-001."""
    head = f"Q{year % 100:02d}-"
    used = [number.removeprefix(head) for number in session.scalars(select(Quote.number).where(_begins(head)))]
    return f"{head}{max((int(tail) for tail in used if tail.isascii() and tail.isdigit()), default=0) + 1:03d}"


def add_quote(session: Session, project_id: int, draft: QuoteDraft, *, tool_version: str, now: datetime) -> QuoteRow:
    """Keep a quote for good."""
    require_text("quote", draft.payload, "what the quote showed")
    get_plan(session, project_id, draft.plan_version)
    row = Quote(
        project_id=project_id,
        issued_at=now,
        sha256=checksum(draft.payload),
        pdf_sha256=sha256(draft.pdf).hexdigest(),
        tool_version=tool_version,
        **asdict(draft),
    )
    session.add(row)
    session.flush()
    return _value(row)


_HEAD = (
    *(Quote.number, Quote.issued_on, Quote.valid_until, Quote.currency, Quote.net_cents, Quote.tax_cents),
    *(Quote.cost_cents, Quote.minutes, Quote.promised_days, Quote.id, Quote.project_id, Quote.issued_at),
)


def _heads() -> Select[*tuple[object, ...]]:
    return select(*_HEAD)


def _head(row: Row[*tuple[object, ...]]) -> QuoteHead:
    return QuoteHead(**row._mapping)  # noqa: SLF001 - SQLAlchemy's public name for a row as a mapping


def _begins(head: str) -> object:
    return Quote.number.startswith(head, autoescape=True)


def _stored(session: Session, quote_id: int) -> Quote:
    row = session.get(Quote, quote_id)
    if row is None:
        raise MissingReference("quote", str(quote_id), [])
    return row


def _value(row: Quote) -> QuoteRow:
    return to_value(QuoteRow, row, damaged=checksum(row.payload) != row.sha256)
