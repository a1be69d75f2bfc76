"""What the templates of Days receive."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.web.days.chain_words import ChainLine, chain_lines
from journal.web.days.picture import Picture, picture
from journal.web.days.weeks import Week, weeks

if TYPE_CHECKING:
    from datetime import date

    from journal.desk.days import ProjectDays
    from journal.desk.parts import Trouble
    from journal.records.queries.projects import ProjectRow
    from journal.web.days.forms import BroughtForm, LikelyForm, StartForm

# 0.8 as a maker says it; others are said as so many times in a hundred.
_TENTHS = {50: "five", 60: "six", 70: "seven", 80: "eight", 90: "nine"}


@dataclass(frozen=True, slots=True)
class Plan:
    """The answer, as the page shows it.

    Attributes:
        found: it, as the desk worked it out.
        weeks_text: the weeks to say, such as “27½ weeks”.
        sure: how sure, in words.
        lines: the chain that decides the finish.
        picture, weeks: the likely plan day by day and week by week.
        last_bound: no order of the work ends before this day.
    """

    found: ProjectDays
    weeks_text: str
    sure: str
    lines: tuple[ChainLine, ...]
    picture: Picture
    weeks: tuple[Week, ...]
    last_bound: date

    @property
    def may_come(self) -> bool:
        """Whether something goes before that is not agreed yet."""
        return any(not other.promised for other in self.found.ahead)


@dataclass(frozen=True, slots=True)
class DaysPage:
    """What days/show.html receives.

    Attributes:
        project: whose.
        start: the form for the day it starts.
        plan: the answer; None when there is none.
        troubles: why there is none, part by part; refused: why, otherwise.
        no_parts: there are no parts yet.
        likely: the form for how likely it is; None once it is promised.
        brought: the form for what the client brings; None where no hardware is fitted.
    """

    project: ProjectRow
    start: StartForm
    plan: Plan | None = None
    troubles: tuple[Trouble, ...] = ()
    refused: str = ""
    no_parts: bool = False
    likely: LikelyForm | None = None
    brought: BroughtForm | None = None


def plan_of(found: ProjectDays, last_bound: date) -> Plan:
    """The answer as the page shows it."""
    return Plan(
        found=found,
        weeks_text=weeks_text(found.weeks),
        sure=sure_words(found.chance_pct),
        lines=chain_lines(found),
        picture=picture(found),
        weeks=weeks(found),
        last_bound=last_bound,
    )


def weeks_text(weeks_: float) -> str:
    """27.5 -> “27½ weeks”, 1 -> “1 week”, 0.5 -> “half a week”."""
    if weeks_ == 0.5:
        return "half a week"
    whole = f"{int(weeks_)}{'½' if weeks_ % 1 else ''}"
    return f"{whole} {'week' if weeks_ == 1 else 'weeks'}"


def sure_words(per_cent: int) -> str:
    """80 -> “eight times in ten”."""
    return f"{_TENTHS[per_cent]} times in ten" if per_cent in _TENTHS else f"{per_cent} times in a hundred"
