"""A quote, an extra and a receipt as they read: every line as text, laid out once for the page and for the paper.

Made from what was kept, in the money of its day; nothing of today goes in.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from journal import units
from journal.desk.quote_content import dues_of

CONDITION = "from deposit, agreed drawing and hardware in hand"


@dataclass(frozen=True, slots=True)
class Row:
    """Words and an amount; `strong` for a sum."""

    text: str
    amount: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class QuotePaper:
    """A quote as it reads.

    Attributes:
        heading: what kind of paper; number, replaces: '' where there is none.
        day, valid_until: as written out; iso_day: the day itself.
        paper: "us-letter" or "a4".
        shop, letterhead, client: who asks whom; texts of some lines.
        title, description: what for; count: how many of it, '' for one.
        drawing: SVG text, '' without; drawing_words: the same in words.
        short: the total and what is due first, for the head of the paper.
        rows: the price and what comes off or on, the total last; dues: when how much is due.
        promise: in weeks, '' where nothing is promised.
        included, excluded, terms: a text a line.
        draft: not issued.
    """

    heading: str
    number: str
    replaces: str
    day: str
    valid_until: str
    iso_day: date
    paper: str
    shop: str
    letterhead: tuple[str, ...]
    client: tuple[str, ...]
    title: str
    count: str
    description: tuple[str, ...]
    drawing: str
    drawing_words: str
    short: tuple[Row, ...]
    rows: tuple[Row, ...]
    dues: tuple[Row, ...]
    promise: str
    included: tuple[str, ...]
    excluded: tuple[str, ...]
    terms: tuple[str, ...]
    draft: bool = False


@dataclass(frozen=True, slots=True)
class ReceiptPaper:
    """A receipt as it reads; the attributes as in QuotePaper, `said` what was paid in a sentence."""

    heading: str
    number: str
    day: str
    iso_day: date
    paper: str
    shop: str
    letterhead: tuple[str, ...]
    client: tuple[str, ...]
    amount: str
    said: str
    note: tuple[str, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class ExtraPaper:
    """An extra as it reads; the attributes as in QuotePaper, `what` it is, `said` what it belongs to, `day_moves` the date."""

    heading: str
    number: str
    day: str
    iso_day: date
    paper: str
    shop: str
    letterhead: tuple[str, ...]
    client: tuple[str, ...]
    what: tuple[str, ...]
    said: str
    rows: tuple[Row, ...]
    day_moves: str


def quote_paper(content: dict[str, Any], *, draft: bool = False) -> QuotePaper:
    """A quote as it reads, from its text."""
    shop, day = content["shop"], date.fromisoformat(content["issued_on"])
    benches = content["benches"]
    drawing = content["drawing"] or {"svg": "", "words": ""}
    rows = _rows(content)
    dues = tuple(Row(due.when, _money(due.cents, shop)) for due in dues_of(content))
    return QuotePaper(
        heading="Draft of a quote, not issued" if draft else "Quote",
        number=content["number"],
        replaces=content["replaces"],
        day=_day(day),
        valid_until=_day(date.fromisoformat(content["valid_until"])),
        iso_day=day,
        paper=shop["paper"],
        shop=shop["name"],
        letterhead=lines(shop["letterhead"]),
        client=lines(content["client"]),
        title=content["title"],
        count=f"{benches} benches, all alike" if benches > 1 else "",
        description=lines(content["description"]),
        drawing=drawing["svg"],
        drawing_words=drawing["words"],
        short=_short(content, rows[-1], dues),
        rows=rows,
        dues=dues,
        promise=promise_text(content["weeks"]),
        included=lines(content["included"]),
        excluded=lines(content["excluded"]),
        terms=lines(content["terms"]),
        draft=draft,
    )


def extra_paper(said: dict[str, Any]) -> ExtraPaper:
    """An extra as it reads, from its text."""
    shop, day = said["shop"], date.fromisoformat(said["on"])
    total = said["net_cents"] + said["tax_cents"]
    rows = [Row("Before tax", _money(said["net_cents"], shop))] if said["tax_ppm"] else []
    if said["tax_ppm"]:
        rows.append(
            Row(
                units.marked(tax_text(said["tax_ppm"], said["tax_rounding"]), _mark(shop)),
                _money(said["tax_cents"], shop),
            )
        )
    belongs = f"quote {said['quote']}, " if said["quote"] else ""
    return ExtraPaper(
        heading="Extra" if total >= 0 else "Taken away",
        number=said["number"],
        day=_day(day),
        iso_day=day,
        paper=shop["paper"],
        shop=shop["name"],
        letterhead=lines(shop["letterhead"]),
        client=lines(said["client"]),
        what=lines(said["what"]),
        said=f"To “{said['title']}”, {belongs}job {said['project']}; agreed on {_day(day)}.",
        rows=(
            *rows,
            Row("This extra", _money(total, shop), strong=True),
            Row("Agreed until now", _money(said["before_cents"], shop)),
            Row("Agreed in all", _money(said["after_cents"], shop), strong=True),
        ),
        day_moves=_day_moves(said),
    )


def _day_moves(said: dict[str, Any]) -> str:
    days = said["days"]
    if not days:
        return "The promised day stays."
    later = f"{abs(days)} day{'' if abs(days) == 1 else 's'} {'later' if days > 0 else 'sooner'}"
    if not said["promised_on"]:
        return f"It will be ready {later}."
    return f"It will be ready {later}, on {_day(date.fromisoformat(said['promised_on']))}."


def receipt_paper(said: dict[str, Any]) -> ReceiptPaper:
    """A receipt as it reads, from its text."""
    shop, day = said["shop"], date.fromisoformat(said["on"])
    back = said["kind"] == "refund"
    amount = _money(said["cents"], shop)
    what = f"“{said['title']}”, job {said['project']}" + (f", quote {said['quote']}" if said["quote"] else "")
    how = f" ({said['how']})" if said["how"] else ""
    verb = "Given back" if back else "Received with thanks"
    return ReceiptPaper(
        heading="Receipt for money given back" if back else "Receipt",
        number=said["number"],
        day=_day(day),
        iso_day=day,
        paper=shop["paper"],
        shop=shop["name"],
        letterhead=lines(shop["letterhead"]),
        client=lines(said["client"]),
        amount=amount,
        said=f"{verb} on {_day(day)}{how} for {what}.",
        note=lines(said["note"]),
        rows=(
            Row("To be paid in all", _money(said["asked_cents"], shop)),
            Row("Paid so far", _money(said["paid_cents"], shop)),
            Row("Still owed", _money(said["owed_cents"], shop), strong=True),
        ),
    )


def lines(text: str) -> tuple[str, ...]:
    """The lines of a text, spaces at their ends taken off; empty ones within it stay."""
    return tuple(line.rstrip() for line in text.strip().splitlines())


def promise_text(weeks: str | None) -> str:
    """“9½ weeks from deposit, agreed drawing and hardware in hand”; '' for no weeks."""
    if not weeks:
        return ""
    whole, half = divmod(Decimal(weeks), 1)
    shown = f"{whole:f}{'½' if half == Decimal('0.5') else ''}" if half in (0, Decimal("0.5")) else weeks
    if shown == "0½":
        shown = "½"
    return f"{shown} week{'' if Decimal(weeks) <= 1 else 's'} {CONDITION}"


def tax_text(tax_ppm: int, rounding: str) -> str:
    """“Sales tax 8.875 %, rounded line by line”."""
    rate = f"{Decimal(tax_ppm) / 10_000:f}"
    percent = rate.rstrip("0").rstrip(".") if "." in rate else rate
    return f"Sales tax {percent} %" + (", rounded line by line" if rounding == "line" else "")


def _rows(content: dict[str, Any]) -> tuple[Row, ...]:
    sums, shop = content["sums"], content["shop"]
    rows = [Row(item["text"], _money(item["cents"], shop)) for item in content["items"]]
    if sums["discount_cents"]:
        why = f", {content['discount_for']}" if content["discount_for"] else ""
        rows.append(Row(f"Discount{why}", _money(-sums["discount_cents"], shop)))
    if content["tax_ppm"]:
        if len(rows) > 1:
            rows.append(Row("Price before tax", _money(sums["net_cents"], shop)))
        rows.append(
            Row(
                units.marked(tax_text(content["tax_ppm"], content["tax_rounding"]), _mark(shop)),
                _money(sums["tax_cents"], shop),
            )
        )
    return (*rows, Row("Total", _money(sums["total_cents"], shop), strong=True))


def _short(content: dict[str, Any], total: Row, dues: tuple[Row, ...]) -> tuple[Row, ...]:
    """What the client looks for first; a sole payment is the total itself."""
    named = Row("Total, with tax" if content["tax_ppm"] else total.text, total.amount, strong=True)
    return (named, *dues[:1]) if len(dues) > 1 else (named,)


def _money(cents: int, shop: dict[str, Any]) -> str:
    return units.marked(units.format_money(cents, units.currency(shop["currency"])), _mark(shop))


def _mark(shop: dict[str, Any]) -> units.Mark:
    """What this paper was written with; papers from before shops could choose say nothing of it."""
    return units.Mark(shop.get("mark", units.Mark.POINT))


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
