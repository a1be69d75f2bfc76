"""Looking back at what was asked: how much of it was accepted, at which margin, and how promise and delivery compared.

A project counts with what it was asked for last: its newest quote, else the price it was agreed at.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

from journal.quote.terms import margin
from journal.records.queries import moves as move_records
from journal.records.queries import projects as project_records
from journal.records.queries import quotes as quote_records
from journal.records.words import FINISHED, ProjectState

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.records.queries.projects import ProjectRow
    from journal.records.queries.quotes import QuoteHead

# The lower ends of the bands margins are told in; the last has no upper end.
BANDS = (Fraction(10, 100), Fraction(20, 100), Fraction(30, 100))


class Answer(StrEnum):
    """What became of it."""

    OPEN = "open"
    ACCEPTED = "accepted"
    DECLINED = "declined"
    LAPSED = "lapsed"


@dataclass(frozen=True, slots=True)
class Asked:
    """One project with what it was asked for.

    Attributes:
        net_cents: before tax; cost_cents: expected then, None where it is not known.
        answer: what became of it.
        why: the reason given, of one that was declined.
    """

    project: ProjectRow
    net_cents: int
    cost_cents: int | None
    answer: Answer
    why: str = ""

    @property
    def margin(self) -> Fraction | None:
        """Share of the price over the expected cost."""
        return None if self.cost_cents is None else margin(self.net_cents, self.cost_cents)


@dataclass(frozen=True, slots=True)
class Band:
    """Quotes of a band of margins; low is in it, high is not; None: no end."""

    low: Fraction | None
    high: Fraction | None
    accepted: int
    answered: int


@dataclass(frozen=True, slots=True)
class Delivered:
    """A project that is out of the house: what was promised, what it came to.

    Attributes:
        promised_cents: as first agreed, before tax; agreed_cents: with its extras.
        promised_on: with the days of its extras; days_late: below zero is early. None where no day was promised.
    """

    project: ProjectRow
    promised_cents: int
    agreed_cents: int
    promised_on: date | None
    delivered_on: date | None

    @property
    def days_late(self) -> int | None:
        """Days after the promised one."""
        if self.promised_on is None or self.delivered_on is None:
            return None
        return (self.delivered_on - self.promised_on).days


@dataclass(frozen=True, slots=True)
class Past:
    """All of it, newest first."""

    asked: tuple[Asked, ...]
    bands: tuple[Band, ...]
    delivered: tuple[Delivered, ...]

    @property
    def accepted(self) -> int:
        """How many were."""
        return sum(one.answer is Answer.ACCEPTED for one in self.asked)

    @property
    def answered(self) -> int:
        """How many were accepted, declined or lapsed."""
        return len(self.asked) - self.open

    @property
    def open(self) -> int:
        """How many still wait for an answer."""
        return sum(one.answer is Answer.OPEN for one in self.asked)


def past(session: Session) -> Past:
    """Everything that was asked of anybody. A constant number of queries."""
    projects = project_records.all_projects(session)
    newest = {quote.project_id: quote for quote in quote_records.all_quotes(session)}
    agreements = move_records.acceptances(session)
    reasons = move_records.reasons(session, ProjectState.DECLINED)
    asked = [one for project in projects if (one := _asked(project, newest.get(project.id), reasons))]
    delivered = [
        _delivered(project, agreements[project.id].net_cents if project.id in agreements else None)
        for project in projects
        if project.state in FINISHED and project.agreed_price_cents is not None
    ]
    return Past(tuple(asked), _bands(asked), tuple(delivered))


def _asked(project: ProjectRow, quote: QuoteHead | None, reasons: dict[int, str]) -> Asked | None:
    """None for what nobody was asked for: an enquiry without a quote, a bench built for stock."""
    agreed = project.agreed_price_cents is not None
    if quote is None and not agreed:
        return None
    if quote and not agreed:
        net, cost = quote.net_cents, quote.cost_cents
    else:
        net, cost = project.agreed_price_cents or 0, project.quoted_cost_cents
    return Asked(project, net, cost, _answer(project, agreed=agreed), reasons.get(project.id, ""))


def _answer(project: ProjectRow, *, agreed: bool) -> Answer:
    if agreed:
        return Answer.ACCEPTED
    told = {ProjectState.DECLINED: Answer.DECLINED, ProjectState.LAPSED: Answer.LAPSED}
    return told.get(project.state, Answer.OPEN)


def _bands(asked: Sequence[Asked]) -> tuple[Band, ...]:
    ends = (None, *BANDS, None)
    answered = [one for one in asked if one.answer is not Answer.OPEN and one.margin is not None]
    return tuple(_band(low, high, answered) for low, high in pairwise(ends))


def _band(low: Fraction | None, high: Fraction | None, answered: Sequence[Asked]) -> Band:
    inside = [
        one
        for one in answered
        if one.margin is not None and (low is None or one.margin >= low) and (high is None or one.margin < high)
    ]
    return Band(low, high, sum(one.answer is Answer.ACCEPTED for one in inside), len(inside))


def _delivered(project: ProjectRow, first_cents: int | None) -> Delivered:
    agreed = project.agreed_price_cents or 0
    promised = agreed if first_cents is None else first_cents
    return Delivered(project, promised, agreed, project.promised_on, project.delivered_on)
