"""What an issued quote holds: everything it showed and everything it rested on, as plain values that become one text.

The text is read back as it was written. Only its sums are worked out again, from its own lines and rates, and must
agree to the cent; nothing of today goes into it.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any, TypeAlias

from journal import units
from journal.desk import buying
from journal.desk.estimate import as_kept
from journal.desk.quote_texts import LONGEST_WHEN, WHENS
from journal.errors import BadInput
from journal.quote.estimate import chances
from journal.quote.terms import BALANCE, DEPOSIT, Due, Item, Stage, TaxRounding, Terms, add_up, split
from journal.units.money import MAX_MINOR

if TYPE_CHECKING:
    from datetime import date
    from decimal import Decimal

    from sqlalchemy.orm import Session

    from journal.desk.estimate import ProjectEstimate
    from journal.quote.estimate import Estimate
    from journal.quote.terms import Sums
    from journal.records.queries.quotes import QuoteRow
    from journal.records.queries.shop import ShopRow

# Of the text; an earlier form is read beside it, never instead of it. Form 2 says besides when deposit and balance are
# due, and what the parts themselves would have said as the description.
FORM = 2
MILLIONTHS = 1_000_000
LONGEST = 10_000  # characters of a text
LONGEST_TITLE = 200
LONGEST_WEEKS = 520  # ten years; longer is a slip of the keyboard
LONGEST_VALID = 3652  # days
_BASIS_POINTS = 10_000

Content: TypeAlias = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the maker says about a quote.

    Attributes:
        client: name and address, as lines; kept in the quote alone.
        title: what is quoted, in a line; description: more about it.
        described: what the parts themselves say as the description.
        price_cents: before discount and tax; discount_cents, discount_for: what comes off, and why.
        breakdown: show materials and work apart instead of one price.
        tax_rate: share; rounding: where it is rounded.
        deposit: share of the total; stages: payments between deposit and balance.
        deposit_when, balance_when: when these are due; '' where nothing is said.
        weeks: from deposit, agreed drawing and hardware in hand, in halves; None: nothing is promised.
        valid_until: the last day it may be accepted.
        included, excluded, terms: texts.
        drawing: show the bench's drawing.
    """

    client: str
    title: str
    description: str = ""
    described: str = ""
    price_cents: int
    discount_cents: int = 0
    discount_for: str = ""
    breakdown: bool = False
    tax_rate: Fraction = Fraction(0)
    rounding: TaxRounding = TaxRounding.INVOICE
    deposit: Fraction = Fraction(0)
    stages: tuple[Stage, ...] = ()
    deposit_when: str = ""
    balance_when: str = ""
    weeks: Decimal | None = None
    valid_until: date
    included: str = ""
    excluded: str = ""
    terms: str = ""
    drawing: bool = True

    def __post_init__(self) -> None:
        if not self.title.strip() or len(self.title) > LONGEST_TITLE:
            raise BadInput("title", self.title, f"a few words, at most {LONGEST_TITLE} characters")
        for name in ("client", "description", "discount_for", "included", "excluded", "terms"):
            if len(getattr(self, name)) > LONGEST:
                raise BadInput(name.replace("_", " "), getattr(self, name), f"at most {LONGEST:,} characters")
        for name in WHENS:
            if len(getattr(self, name)) > LONGEST_WHEN:
                raise BadInput(name.replace("_", " "), getattr(self, name), f"at most {LONGEST_WHEN} characters")
        if not 0 < self.price_cents <= MAX_MINOR:
            raise BadInput("price", self.price_cents, "an amount above 0")
        if not 0 <= self.discount_cents <= self.price_cents:
            raise BadInput("discount", self.discount_cents, "at most the price")
        if self.weeks is not None and not (0 < self.weeks <= LONGEST_WEEKS and self.weeks * 2 % 1 == 0):
            raise BadInput("weeks", str(self.weeks), f"whole or half weeks, more than 0 and at most {LONGEST_WEEKS}")
        _require_step("sales tax", self.tax_rate, MILLIONTHS, "at most four decimals")
        for name, share in (("deposit", self.deposit), *((stage.when, stage.share) for stage in self.stages)):
            _require_step(name, share, _BASIS_POINTS, "at most two decimals")

    def check_days(self, today: date) -> None:
        """Refuse a quote that is no longer valid when it is issued, or for years."""
        if not 0 <= (self.valid_until - today).days <= LONGEST_VALID:
            raise BadInput("valid until", self.valid_until.isoformat(), "today or later, at most ten years ahead")

    @property
    def promised_days(self) -> int | None:
        """The weeks in whole days, upwards."""
        return None if self.weeks is None else math.ceil(self.weeks * 7)


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing as it goes on paper: the picture as SVG text, and the same in words."""

    svg: str
    words: str


@dataclass(frozen=True, slots=True)
class Issue:
    """The quote's own data: its number, what it replaces, the day."""

    number: str
    replaces: str
    on: date


def write(
    session: Session, asked: Asked, found: ProjectEstimate, issue: Issue, drawing: Drawing | None = None
) -> Content:
    """Everything a quote shows and rests on.

    Raises:
        BadInput: what cannot be asked of anybody.
    """
    terms = _terms(asked, found)
    shop, made = found.shop.row, found.made
    return {
        "form": FORM,
        "number": issue.number,
        "replaces": issue.replaces,
        "issued_on": issue.on.isoformat(),
        "valid_until": asked.valid_until.isoformat(),
        "shop": {
            "name": shop.name,
            "letterhead": shop.letterhead,
            "currency": shop.currency,
            "system": str(shop.system),
            "paper": buying.paper(session),
            **written_with(shop),
        },
        "client": asked.client.strip(),
        "title": asked.title.strip(),
        "description": asked.description.strip(),
        "described": asked.described.strip(),
        "benches": found.project.benches,
        "items": [{"text": item.text, "cents": item.cents} for item in terms.items],
        "discount_cents": terms.discount_cents,
        "discount_for": asked.discount_for.strip(),
        "tax_ppm": int(terms.tax_rate * MILLIONTHS),
        "tax_rounding": str(terms.rounding),
        "deposit_bp": int(terms.deposit * _BASIS_POINTS),
        "stages": [{"when": stage.when, "bp": int(stage.share * _BASIS_POINTS)} for stage in terms.stages],
        "deposit_when": asked.deposit_when.strip(),
        "balance_when": asked.balance_when.strip(),
        "sums": _sums(add_up(terms)),
        "promised_days": asked.promised_days,
        "weeks": None if asked.weeks is None else f"{asked.weeks.normalize():f}",
        "included": asked.included.strip(),
        "excluded": asked.excluded.strip(),
        "terms": asked.terms.strip(),
        "drawing": {"svg": drawing.svg, "words": drawing.words} if drawing else None,
        "minutes": mean_minutes(made),
        "cost_cents": made.expected_cents,
        "costs": [{"name": line.name, "cents": int(line.value)} for line in made.costs],
        "at_this_price": _at_price(made, add_up(terms).net_cents),
        "kept": as_kept(found),
    }


def read(row: QuoteRow) -> Content:
    """A quote's text as values."""
    content: Content = json.loads(row.payload)
    return content


def terms_of(content: Content) -> Terms:
    """What a quote asks, from its text."""
    return Terms(
        items=tuple(Item(item["text"], item["cents"]) for item in content["items"]),
        discount_cents=content["discount_cents"],
        tax_rate=Fraction(content["tax_ppm"], MILLIONTHS),
        rounding=TaxRounding(content["tax_rounding"]),
        deposit=Fraction(content["deposit_bp"], _BASIS_POINTS),
        stages=tuple(Stage(stage["when"], Fraction(stage["bp"], _BASIS_POINTS)) for stage in content["stages"]),
    )


def dues_of(content: Content) -> tuple[Due, ...]:
    """When how much is due, in the quote's own words: “Deposit, on acceptance”."""
    dues = [Due(due["when"], due["cents"]) for due in content["sums"]["dues"]]
    for place, name, when in ((0, DEPOSIT, "deposit_when"), (-1, BALANCE, "balance_when")):
        if dues and dues[place].when == name and content.get(when):
            dues[place] = Due(f"{name}, {content[when]}", dues[place].cents)
    return tuple(dues)


def described_by_hand(content: Content) -> bool:
    """Whether the maker wrote the description, so that the parts do not write it anew; form 1 never wrote one."""
    said: str = content["description"]
    return said != content.get("described", "")


def faults(row: QuoteRow) -> tuple[str, ...]:
    """What is wrong with a stored quote: its checksum, its sums worked out again, its columns; empty: all agrees."""
    if row.damaged:
        return ("its text does not fit its checksum",)
    content = read(row)
    found = []
    if _sums(add_up(terms_of(content))) != content["sums"]:
        found.append("its sums, worked out again, are others")
    said = content["sums"]["net_cents"], content["sums"]["tax_cents"], content["cost_cents"], content["number"]
    if said != (row.net_cents, row.tax_cents, row.cost_cents, row.number):
        found.append("the list of quotes says other amounts than its text")
    return tuple(found)


def mean_minutes(made: Estimate) -> float:
    """Person-minutes expected, work nobody planned included."""
    return float(made.quantities[-1].value)


def _require_step(name: str, share: Fraction, steps: int, expected: str) -> None:
    """Refuse a share finer than it can be kept."""
    if (share * steps).denominator != 1:
        raise BadInput(name, f"{float(share * 100):g}%", expected)


def _terms(asked: Asked, found: ProjectEstimate) -> Terms:
    one = (Item(asked.title.strip(), asked.price_cents),)
    items = _broken_down(asked.price_cents, found.made) if asked.breakdown else one
    return Terms(items, asked.discount_cents, asked.tax_rate, asked.rounding, asked.deposit, asked.stages)


def _broken_down(price_cents: int, made: Estimate) -> tuple[Item, ...]:
    """Materials, and the work; what covers risk and profit is spread over both in proportion."""
    goods = int(made.costs[0].value)
    work = made.expected_cents - goods
    return split(price_cents, (("Materials and hardware", goods), ("Work in the shop", work)))


def _sums(sums: Sums) -> Content:
    return {
        "list_cents": sums.list_cents,
        "discount_cents": sums.discount_cents,
        "net_cents": sums.net_cents,
        "tax_cents": sums.tax_cents,
        "total_cents": sums.total_cents,
        "dues": [{"when": due.when, "cents": due.cents} for due in sums.dues],
    }


def _at_price(made: Estimate, net_cents: int) -> Content:
    means = chances(made, net_cents)
    return {
        "below_wage": round(means.below_wage, 6),
        "out_of_pocket": round(means.out_of_pocket, 6),
        "earned_cents_per_hour": means.earned_cents_per_hour,
        "margin": round(means.margin, 6),
        "markup": round(means.markup, 6),
    }


def written_with(shop: ShopRow) -> dict[str, str]:
    """What stands before the decimals of a paper; nothing for a point, as in papers from before shops could choose."""
    return {} if shop.decimal_mark is units.Mark.POINT else {"mark": shop.decimal_mark.value}
