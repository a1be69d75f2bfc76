"""Extras: what a client adds or takes away after agreeing, each with its price, its tax and its days, kept as it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta
from fractions import Fraction
from typing import TYPE_CHECKING

from journal import __version__
from journal.desk import letter, promises, quote_content
from journal.desk.promises import LONGEST_PROMISE, LONGEST_TEXT, MILLIONTHS, life_of
from journal.errors import BadInput, JournalError
from journal.quote.terms import TaxRounding, tax_on_change
from journal.records.base import canonical
from journal.records.queries import money as money_records
from journal.records.queries import projects as project_records
from journal.records.queries import quotes as quote_records
from journal.records.queries.money import ExtraDraft, ExtraPrinted
from journal.records.queries.shop import get_shop
from journal.records.queries.values import require_version
from journal.records.words import ProjectState
from journal.units.money import MAX_MINOR

if TYPE_CHECKING:
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.desk.promises import Agreed, Life
    from journal.desk.quote_content import Content
    from journal.records.queries.money import ExtraPaperRow, ExtraRow


FORM = 1  # of an extra's text
Press = Callable[["Content"], bytes]  # prints it; a floor above this one


@dataclass(frozen=True, slots=True)
class ExtraAsked:
    """An extra to agree: amounts before tax, below zero where something is taken away."""

    on: date
    what: str
    net_cents: int
    days: int = 0

    def __post_init__(self) -> None:
        if not self.what.strip() or len(self.what) > LONGEST_TEXT:
            raise BadInput("what", self.what, f"a few words, at most {LONGEST_TEXT:,} characters")
        if abs(self.net_cents) > MAX_MINOR:
            raise BadInput("price", self.net_cents, "an amount such as 120.00")
        if abs(self.days) > LONGEST_PROMISE.days:
            raise BadInput("days", self.days, "days it takes longer, or saves")


def add_extra(
    session: Session,
    project_id: int,
    asked: ExtraAsked,
    press: Press,
    *,
    read_version: int,
    today: date,
    now: datetime,
) -> ExtraRow:
    """Agree an extra and print it: the agreed price and the promised day follow.

    Raises:
        Conflict: the project changed since.
        BadInput: nothing is agreed yet, or it takes away more than was agreed.
    """
    found = life_of(session, project_id)
    project, there = found.project, found.agreed
    require_version(f"project {project.code}", project.version, read_version)
    if there is None or project.state in (ProjectState.CLOSED, ProjectState.CANCELLED):
        raise BadInput("extra", asked.what, "a project that is agreed and still open")
    if there.now_net_cents + asked.net_cents < 0:
        raise BadInput("price", asked.net_cents, "not more taken away than was agreed")
    promises.refuse_day(found, asked.on, today)
    rate, rounding = _tax_of(session, there)
    tax = tax_on_change(there.now_net_cents, asked.net_cents, rate, rounding)
    promised = project.promised_on and project.promised_on + timedelta(days=asked.days)
    after = project.draft(agreed_price_cents=there.now_net_cents + asked.net_cents, promised_on=promised)
    project_records.change_project(session, project_id, after, read_version=read_version, now=now)
    draft = ExtraDraft(
        on_date=asked.on, what=asked.what.strip(), net_cents=asked.net_cents, tax_cents=tax, days=asked.days
    )
    number = money_records.next_extra(session, today.year)
    content = _content(session, found, draft, number, (rate, rounding), promised)
    printed = ExtraPrinted(number, canonical(content), press(content))
    row = money_records.add_extra(session, project_id, draft, now)
    money_records.add_extra_paper(session, row.id, printed, tool_version=__version__)
    return replace(row, number=number)


def paper_of(session: Session, project_id: int, extra_id: int) -> ExtraPaperRow:
    """The paper of an extra, to the byte as it was agreed.

    Raises:
        MissingReference: the project has no such extra, or one from before extras had paper.
        JournalError: text or bytes do not fit their checksum.
    """
    paper = money_records.get_extra_paper(session, project_id, extra_id)
    if paper.damaged:
        raise JournalError(f"the paper of extra {paper.number} is damaged: its checksum does not fit; restore a backup")
    return paper


def _content(
    session: Session, found: Life, draft: ExtraDraft, number: str, tax: tuple[Fraction, TaxRounding], day: date | None
) -> Content:
    """What the paper says; nothing of it is worked out again later."""
    there = found.agreed
    before = there.total_cents if there else 0
    return {
        "form": FORM,
        "number": number,
        "on": draft.on_date.isoformat(),
        "what": draft.what,
        "net_cents": draft.net_cents,
        "tax_cents": draft.tax_cents,
        "tax_ppm": int(tax[0] * MILLIONTHS),
        "tax_rounding": str(tax[1]),
        "days": draft.days,
        "promised_on": day.isoformat() if day else None,
        "before_cents": before,
        "after_cents": before + draft.total_cents,
        "shop": letter.sender(session),
        **letter.addressee(session, there, found.project),
    }


def _tax_of(session: Session, there: Agreed) -> tuple[Fraction, TaxRounding]:
    """The tax of what was agreed: as the accepted quote has it, else the shop's."""
    if there.quote is None:
        return Fraction(get_shop(session).tax_ppm, MILLIONTHS), TaxRounding.INVOICE
    terms = quote_content.terms_of(quote_content.read(quote_records.get_quote(session, there.quote.id)))
    return terms.tax_rate, terms.rounding
