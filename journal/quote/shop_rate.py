"""What an hour at the bench must bring, from the shop's year.

Only hours that a client pays for bring anything, so both the income wanted and the overhead are spread over those:

    billable hours = people × weeks × hours a week × billable share
    wage an hour = people × income ÷ billable hours        overhead an hour = overhead ÷ billable hours

The wage so carries the pay of the hours nobody pays for (buying, sweeping, quoting), and the overhead is only what
leaves the pocket. Machines come on top by their running hours (`machine_rate`) and have no place in the overhead.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

from journal import units
from journal.errors import BadInput
from journal.units.money import MAX_MINOR
from journal.working import Basis, Line, counted

if TYPE_CHECKING:
    from collections.abc import Iterable
    from fractions import Fraction

# More names on a shop's overhead are a slip, or a bookkeeping of its own.
MOST_OVERHEADS = 60
TIMES_A_YEAR = (1, 4, 12)
SOURCE = "the shop’s year, under The rate"
_EVERY = {1: "year", 4: "quarter", 12: "month"}
# Words that name what a machine's running hour already pays for.
_MACHINE_WORDS = re.compile(
    r"\b(depreciat\w*|amorti[sz]\w*|machine\w*|equipment|blades?|knives|sharpening|power|electric\w*|energy)\b",
    re.IGNORECASE,
)


class Kind(StrEnum):
    """Whether an overhead stays the same however much is built, or is the cost of running the business."""

    FIXED = "fixed"
    ADMINISTRATIVE = "administrative"


@dataclass(frozen=True, slots=True)
class Overhead:
    """One cost of the shop that no project causes: its name, its kind, so many cents so many times a year."""

    name: str
    kind: Kind
    cents: int
    times_a_year: int = 1

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise BadInput("overhead", self.name, "what it is for, such as rent")
        if not 0 <= self.cents <= MAX_MINOR:
            raise BadInput(self.name, self.cents, "an amount, 0 or more")
        if self.times_a_year not in TIMES_A_YEAR:
            raise BadInput(self.name, self.times_a_year, "once a year, a quarter or a month")

    @property
    def cents_a_year(self) -> int:
        """What a year of it costs."""
        return self.cents * self.times_a_year

    @property
    def every(self) -> str:
        """How often it is paid: “month”."""
        return _EVERY[self.times_a_year]


@dataclass(frozen=True, slots=True)
class Year:
    """A year of the shop.

    Attributes:
        people: at the benches.
        income_cents: what each wants of the year.
        weeks: worked in the year, over 0 to 52.
        hours_a_week: of one person, over 0 to 168; all hours in the shop, not only those at the bench.
        billable: share of those hours that projects pay for, over 0 to 1.
        overheads: what the shop costs besides.
    """

    people: int
    income_cents: int
    weeks: Fraction
    hours_a_week: Fraction
    billable: Fraction
    overheads: tuple[Overhead, ...] = field(default_factory=tuple)

    def __post_init__(self) -> None:
        if self.people < 1:
            raise BadInput("people", self.people, "a whole number from 1")
        if not 0 <= self.income_cents <= MAX_MINOR:
            raise BadInput("income", self.income_cents, "an amount, 0 or more")
        if not 0 < self.weeks <= 52:
            raise BadInput("weeks", f"{float(self.weeks):g}", "more than 0 and at most 52 weeks")
        if not 0 < self.hours_a_week <= 168:
            raise BadInput("hours a week", f"{float(self.hours_a_week):g}", "more than 0 and at most 168 hours")
        if not 0 < self.billable <= 1:
            raise BadInput("billable share", f"{float(self.billable):.4g}", "more than 0% and at most 100%")
        if len(self.overheads) > MOST_OVERHEADS:
            raise BadInput("overheads", len(self.overheads), f"at most {MOST_OVERHEADS} lines")

    @property
    def hours_worked(self) -> Fraction:
        """Of everybody together."""
        return self.people * self.weeks * self.hours_a_week

    @property
    def hours_billable(self) -> Fraction:
        """Of them, those that projects pay for."""
        return self.hours_worked * self.billable


@dataclass(frozen=True, slots=True)
class ShopRate:
    """What an hour must bring, in cents rounded half-up: the wage, the overhead, and the line that explains both."""

    wage_cents_per_hour: int
    overhead_cents_per_hour: int
    line: Line


def shop_rate(year: Year, currency: units.Currency) -> ShopRate:
    """The rate that a year comes to.

    By hand: one person who wants $52,000, 46 weeks of 40 hours, 65% of them billable, rent of $1,000 a month and
    $2,352 of insurance a year: 46 × 40 × 65% = 1,196 billable hours; 52,000 ÷ 1,196 = $43.48 of wage and
    (12,000 + 2,352) ÷ 1,196 = $12.00 of overhead, so $55.48 an hour.

    Args:
        year: the shop's year.
        currency: of its amounts.
    """
    hours = year.hours_billable
    wage = units.round_half_up(year.people * year.income_cents / hours)
    overhead = units.round_half_up(sum(one.cents_a_year for one in year.overheads) / hours)
    lines = (_wage_line(year, wage, currency), _overhead_line(year, overhead, currency))
    line = Line("An hour at the bench", wage + overhead, "cents", "wage + overhead", Basis.WORKED, parts=lines)
    return ShopRate(wage, overhead, line)


def billable_share(logged_hours: float, year: Year, share_of_year: float) -> float:
    """What the logs say of the billable share: hours logged on projects ÷ hours worked in that part of the year.

    Args:
        logged_hours: on projects, of everybody.
        year: says how many hours are worked in a whole year.
        share_of_year: how much of a year the logs cover, over 0.

    Raises:
        BadInput: no time covered.
    """
    if share_of_year <= 0:
        raise BadInput("time covered", share_of_year, "more than no time")
    return logged_hours / (float(year.hours_worked) * share_of_year)


def looks_like_machine(overheads: Iterable[Overhead]) -> tuple[str, ...]:
    """Names of overheads that a machine's running hour may already pay for, so that nothing is counted twice."""
    return tuple(one.name for one in overheads if one.cents and _MACHINE_WORDS.search(one.name))


def _wage_line(year: Year, cents: int, currency: units.Currency) -> Line:
    hours = Line(
        "Billable hours a year",
        float(year.hours_billable),
        "h",
        f"{counted(year.people, 'person', 'people')} × {_plain(year.weeks)} weeks × {_plain(year.hours_a_week)} h "
        f"= {_plain(year.hours_worked)} h, × {_plain(year.billable * 100)}% billable",
        Basis.TYPED,
        SOURCE,
    )
    people = counted(year.people, "person", "people")
    wanted = f"{people} × {units.format_money(year.income_cents, currency)} a year ÷ {_plain(year.hours_billable)} h"
    return Line("Wage", cents, "cents", wanted, Basis.TYPED, SOURCE, parts=(hours,))


def _overhead_line(year: Year, cents: int, currency: units.Currency) -> Line:
    """The overhead an hour; its lines share it so that they add up to the cent."""
    costly = [one for one in year.overheads if one.cents]
    shares = units.share(cents, [one.cents_a_year for one in costly]) if costly else []
    parts = tuple(
        Line(
            one.name,
            part,
            "cents",
            f"{units.format_money(one.cents, currency)} a {one.every}, {one.kind.value}",
            Basis.TYPED,
            SOURCE,
        )
        for one, part in zip(costly, shares, strict=True)
    )
    whole = units.format_money(sum(one.cents_a_year for one in costly), currency)
    working = f"{whole} a year ÷ {_plain(year.hours_billable)} h"
    return Line("Overhead", cents, "cents", working, Basis.TYPED, SOURCE, parts=parts)


def _plain(value: Fraction) -> str:
    """A number as it is read: 1,196, 38.5, 66.67."""
    return f"{float(value):,.2f}".rstrip("0").rstrip(".")
