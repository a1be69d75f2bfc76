"""The first questions to a shop whose journal is empty: asked once, all of them with an answer to begin with."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal import reference, units
from journal.desk import settings
from journal.errors import Conflict
from journal.records.queries import projects
from journal.records.queries import shop as shop_records
from journal.records.queries.shop import SettingRow
from journal.records.words import LengthSystem

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

# Who thinks in inches mostly writes the month first, a decimal point, and a week from Sunday; Shop has the choice.
_DAY_FORMS = {units.System.INCH: units.DayForm.MONTH_FIRST, units.System.METRIC: units.DayForm.DAY_FIRST}
# Metric shops with one of these moneys mostly write a decimal point all the same (common practice).
_POINTED = frozenset({"USD", "CAD", "AUD", "NZD", "GBP", "CHF", "INR", "JPY", "KRW"})
_WEEK_STARTS = {units.System.INCH: units.WeekStart.SUNDAY, units.System.METRIC: units.WeekStart.MONDAY}
CLAMPS = "clamps_on_hand"  # its key among the allowances


@dataclass(frozen=True, slots=True)
class Answers:
    """What a shop says of itself at first.

    Attributes:
        system: inches or millimetres.
        currency: its money, as a code of three letters.
        minutes_per_week: at the bench, everybody together.
        people: at the benches.
        wage_cents_per_hour: what an hour at the bench is to bring; left as it was, it still counts as said by nobody.
        machines: the kinds it has; none: the usual small shop's are taken.
        clamps: how many it can use at once.
    """

    system: units.System
    currency: str
    minutes_per_week: int
    people: int
    wage_cents_per_hour: int
    machines: tuple[str, ...]
    clamps: int


def starting() -> Answers:
    """What the sums take while nothing is said."""
    row = shop_records.ShopRow()
    return Answers(
        units.System(row.system.value),
        row.currency,
        row.minutes_per_week,
        row.people,
        row.wage_cents_per_hour,
        tuple(reference.machines()),
        int(reference.allowance(CLAMPS).value),
    )


def is_new(session: Session) -> bool:
    """Whether this shop has said nothing of itself yet and has no project."""
    return not shop_records.get_shop(session).version and not projects.list_projects(session, most=1)


def keep(session: Session, answers: Answers) -> None:
    """Keep the answers as the shop's own; the clock is the computer's until the shop names a time zone.

    Raises:
        Conflict: the shop has spoken meanwhile, as in another window.
        MissingReference: a currency or a kind of machine that is not in the tables.
        BadInput: a figure out of its range.
    """
    row = shop_records.get_shop(session)
    if row.version:
        raise Conflict("the shop's data", "open Shop and change them there")
    settings.save_shop(
        session,
        replace(
            row,
            system=LengthSystem(answers.system.value),
            currency=answers.currency,
            minutes_per_week=answers.minutes_per_week,
            people=answers.people,
            wage_cents_per_hour=answers.wage_cents_per_hour,
            time_zone="",
            day_form=_DAY_FORMS[answers.system],
            decimal_mark=_mark(answers),
            week_start=_WEEK_STARTS[answers.system],
        ),
    )
    if answers.clamps != starting().clamps:
        settings.read_allowance(CLAMPS, str(answers.clamps))
        shop_records.put_setting(session, SettingRow(CLAMPS, str(answers.clamps), "count"))
    if not shop_records.machines(session, active_only=False):
        for machine in settings.usual_machines():
            if machine.kind in answers.machines:
                shop_records.save_machine(session, machine)


def _mark(answers: Answers) -> units.Mark:
    pointed = answers.system is units.System.INCH or answers.currency in _POINTED
    return units.Mark.POINT if pointed else units.Mark.COMMA


def skip(session: Session) -> None:
    """Go on with the starting values, and ask no more."""
    if not shop_records.get_shop(session).version:
        keep(session, replace(starting(), machines=()))
