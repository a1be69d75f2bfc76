"""A quote: filled in from the estimate, issued once, and from then on only read.

Issuing is one errand: number, text, drawing and paper are kept together or not at all, and the project is quoted.
"""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass, replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Protocol

from journal import __version__, units
from journal.desk import days, estimate, parts, promises, quote_content, quote_texts
from journal.desk.drawn_bench import drawn_bench
from journal.desk.quote_content import Asked, Issue
from journal.desk.quote_texts import QuoteTexts
from journal.errors import Conflict, JournalError, MissingReference
from journal.quote.described import describe, hardware_in, speaks_against
from journal.records.base import canonical
from journal.records.queries import plans
from journal.records.queries import quotes as quote_records
from journal.records.queries.quotes import QuoteDraft

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.build.drawing import Drawn
    from journal.desk.drawn_bench import DrawnBench
    from journal.desk.estimate import ProjectEstimate
    from journal.desk.parts import Trouble
    from journal.desk.promises import Life
    from journal.desk.quote_content import Content, Drawing
    from journal.desk.shop import ShopView
    from journal.records.queries.quotes import Paper, QuoteHead, QuoteRow

_BASIS_POINTS = 10_000


class Press(Protocol):
    """Whoever draws and prints; a floor above this one."""

    def draw(self, views: Sequence[Drawn], title: str, shop: ShopView) -> Drawing:
        """The drawing of a bench from its views."""

    def print(self, content: Content, *, draft: bool) -> bytes:
        """The paper as PDF."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A quote to fill in.

    Attributes:
        found: the estimate it is filled in from; None where the parts make none.
        asked: the boxes as they come; None with it.
        troubles: why there is none; empty then means that there are no parts.
        drawing: whether there is one to show.
        seen: tells the estimate shown from any later one.
    """

    life: Life
    found: ProjectEstimate | None
    asked: Asked | None = None
    troubles: tuple[Trouble, ...] = ()
    drawing: bool = False
    seen: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """An issued quote.

    Attributes:
        content: as it was written; None when it is damaged.
        faults: what is wrong with it; empty: checksum, sums and list agree.
        newer: the quote that replaced it, or None.
    """

    row: QuoteRow
    content: Content | None
    faults: tuple[str, ...]
    newer: QuoteHead | None


def begin(session: Session, project_id: int, today: date, *, weeks: Decimal | None = None) -> Draft:
    """A quote to fill in, from today's estimate, the shop's texts and the last quote of this project.

    `weeks` where they are promised already; without them the shop's calendar suggests some.
    """
    life = promises.life_of(session, project_id)
    try:
        found = estimate.estimate_project(session, project_id, today)
    except JournalError as refused:
        why = parts.troubles(session, project_id, today)
        listed = parts.current(session, project_id)
        return Draft(life, None, troubles=why or ((parts.Trouble((), str(refused)),) if listed else ()))
    bench = _bench_of(session, found)
    described = description_of(found, bench)
    asked = replace(_filled_in(session, found, described, life, today, weeks), drawing=bench is not None)
    return Draft(life, found, asked, drawing=bench is not None, seen=_seen(session, found, described))


def doubted(session: Session, project_id: int, asked: Asked, today: date) -> bool:
    """Whether a client would stumble over it; not where there is no estimate, as then nothing is issued anyway."""
    try:
        found = estimate.estimate_project(session, project_id, today)
    except JournalError:
        return False
    return bool(doubts(asked.description, asked.excluded, found))


def doubts(description: str, excluded: str, found: ProjectEstimate) -> tuple[str, ...]:
    """What a client would stumble over: nothing said of what they get, or the same thing in and out of the price."""
    priced = found.shop.supplies(found.work).hardware
    named = [word for word, _ in hardware_in(found.made.takeoff, priced)]
    bare = () if description.strip() else ("The description is empty: wood, sizes, finish and hardware stand nowhere.",)
    crossed = [(line, word) for word in named for line in speaks_against(excluded, [word])]
    said = (
        f"“Not included” has the line “{line.rstrip('.')}”, and the price has a {word} in it." for line, word in crossed
    )
    return (*bare, *said)


def description_of(found: ProjectEstimate, bench: DrawnBench | None) -> str:
    """What the parts say a client gets; `bench` as its design draws it, None where the parts are not a design's."""
    shop, takeoff = found.shop, found.made.takeoff
    told = describe(
        takeoff,
        shop.supplies(found.work).hardware,
        shop.shown,
        what=bench.title if bench else "",
        sizes_nm=bench.own_nm if bench else None,
        finish=shop.finish(found.work).name,
        coats=shop.rules(found.work).finish.coats,
    )
    return units.marked(told, shop.row.decimal_mark)


def issue(
    session: Session, project_id: int, asked: Asked, press: Press, *, seen: str, today: date, now: datetime
) -> QuoteRow:
    """Issue a quote for good; it takes the place of any earlier one of the project.

    Raises:
        Conflict: the estimate is not the one that was `seen`.
        BadInput: what cannot be promised, or a project that is agreed already.
    """
    asked.check_days(today)
    found = estimate.estimate_project(session, project_id, today)
    bench = _bench_of(session, found)
    described = description_of(found, bench)
    if _seen(session, found, described) != seen:
        raise Conflict("what the quote rests on", "look at it again, and issue that")
    earlier = quote_records.quotes(session, project_id)
    number = quote_records.next_number(session, today.year)
    how = Issue(number, earlier[0].number if earlier else "", today)
    content = _written(session, replace(asked, described=described), found, bench, how, press)
    draft = QuoteDraft(
        number=number,
        issued_on=today,
        valid_until=asked.valid_until,
        currency=found.shop.row.currency,
        net_cents=content["sums"]["net_cents"],
        tax_cents=content["sums"]["tax_cents"],
        cost_cents=content["cost_cents"],
        minutes=content["minutes"],
        promised_days=content["promised_days"],
        plan_version=_plan_version(session, project_id),
        payload=canonical(content),
        pdf=press.print(content, draft=False),
    )
    promises.quoted(session, project_id, on=today, number=number, now=now)
    return quote_records.add_quote(session, project_id, draft, tool_version=__version__, now=now)


def preview(session: Session, project_id: int, asked: Asked, press: Press, *, today: date) -> bytes:
    """The paper as it would be issued, marked as a draft; nothing is kept."""
    asked.check_days(today)
    found = estimate.estimate_project(session, project_id, today)
    bench = _bench_of(session, found)
    return press.print(_written(session, asked, found, bench, Issue("", "", today), press), draft=True)


def keep_texts(session: Session, asked: Asked) -> None:
    """Put these texts on every quote from now on."""
    texts = QuoteTexts(
        asked.included, asked.excluded, asked.terms, asked.rounding, asked.deposit_when, asked.balance_when
    )
    quote_texts.keep_texts(session, texts)


def shown(session: Session, project_id: int, quote_id: int) -> Shown:
    """An issued quote as it was, and whether it still agrees with itself.

    Raises:
        MissingReference: the project has no such quote.
    """
    row = quote_of(session, project_id, quote_id)
    wrong = quote_content.faults(row)
    content = None if row.damaged else quote_content.read(row)
    newest = quote_records.quotes(session, project_id)[0]
    return Shown(row, content, wrong, newest if newest.id != row.id else None)


def quote_of(session: Session, project_id: int, quote_id: int) -> QuoteRow:
    """A quote of this project.

    Raises:
        MissingReference: the project has no such quote; lists those it has.
    """
    row = quote_records.get_quote(session, quote_id)
    if row.project_id != project_id:
        known = [one.number for one in quote_records.quotes(session, project_id)]
        raise MissingReference("quote of this project", str(quote_id), known)
    return row


def paper_of(session: Session, project_id: int, quote_id: int) -> Paper:
    """A quote's paper, to the byte as it was issued.

    Raises:
        MissingReference: the project has no such quote.
        JournalError: the bytes do not fit their checksum.
    """
    quote_of(session, project_id, quote_id)
    paper = quote_records.get_paper(session, quote_id)
    if paper.damaged:
        raise JournalError(f"the paper of quote {paper.number} is damaged: its checksum does not fit; restore a backup")
    return paper


def _bench_of(session: Session, found: ProjectEstimate) -> DrawnBench | None:
    """The bench of a project's design, drawn; None where its parts are no longer the design's.

    A drawing that shows another bench than the one priced would be agreed along with the quote.
    """
    strips = {one.part.label: one.strips for one in found.made.takeoff.milled}
    drawn = drawn_bench(session, found.project, found.inputs.listed, strips)
    return drawn if drawn and not drawn.changed else None


def suggested_weeks(session: Session, project_id: int, today: date) -> Decimal | None:
    """The weeks to promise, by the shop's calendar; None where it cannot say, and the maker says it alone."""
    weeks = days.promised_weeks(session, project_id, today)
    if weeks is None or not 0 < weeks <= quote_content.LONGEST_WEEKS:
        return None
    return Decimal(math.ceil(weeks * 2)) / 2


def _written(
    session: Session, asked: Asked, found: ProjectEstimate, bench: DrawnBench | None, number: Issue, press: Press
) -> Content:
    drawing = press.draw(bench.views, asked.title, found.shop) if bench and asked.drawing else None
    return quote_content.write(session, asked, found, number, drawing)


def _filled_in(
    session: Session, found: ProjectEstimate, described: str, life: Life, today: date, weeks: Decimal | None
) -> Asked:
    texts, shop = quote_texts.quote_texts(session), found.shop
    fresh = Asked(
        client="",
        title=found.project.title,
        description=described,
        described=described,
        price_cents=max(found.made.price_cents, 1),
        tax_rate=Fraction(shop.row.tax_ppm, quote_content.MILLIONTHS),
        rounding=texts.rounding,
        deposit=Fraction(shop.row.deposit_bp, _BASIS_POINTS),
        deposit_when=texts.deposit_when,
        balance_when=texts.balance_when,
        weeks=weeks or suggested_weeks(session, found.project.id, today),
        valid_until=today + timedelta(days=int(shop.allowances["quote_valid_days"])),
        included=texts.included,
        excluded=texts.excluded,
        terms=texts.terms,
    )
    return _as_last_time(session, fresh, life.open) if life.open else fresh


def _as_last_time(session: Session, fresh: Asked, last: QuoteHead) -> Asked:
    """What the last quote of this project said in words, its tax and payments; price and dates are today's.

    A description that the parts wrote is written anew; one of the maker's own stays.
    """
    row = quote_records.get_quote(session, last.id)
    if row.damaged:
        return fresh
    said = quote_content.read(row)
    terms = quote_content.terms_of(said)
    words = {name: said[name] for name in ("client", "title", "included", "excluded", "terms")}
    words |= {name: said[name] for name in quote_texts.WHENS if name in said}
    if quote_content.described_by_hand(said):
        words["description"] = said["description"]
    weeks = fresh.weeks if fresh.weeks is not None else Decimal(said["weeks"]) if said["weeks"] else None
    return replace(fresh, **words, weeks=weeks, tax_rate=terms.tax_rate, deposit=terms.deposit, stages=terms.stages)


def _seen(session: Session, found: ProjectEstimate, described: str) -> str:
    told = hashlib.sha256(described.encode()).hexdigest()[:8]
    return f"{_plan_version(session, found.project.id)}-{found.made.price_cents}-{found.project.benches}-{told}"


def _plan_version(session: Session, project_id: int) -> int:
    plan = plans.latest_plan(session, project_id)
    return plan.version if plan else 0
