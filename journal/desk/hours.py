"""The shop's open hours and days off: kept, read, and the share of them spent at the bench."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference
from journal.days.calendar import Calendar, DaysOff
from journal.days.hours import DAYS, Span, Week, format_spans, format_week, parse_spans, starting_week
from journal.errors import BadInput, BadRows, Conflict, Problem
from journal.pace.ratios import Kind
from journal.records.base import canonical, checksum
from journal.records.queries import calendar as records
from journal.records.queries.calendar import DaysOffRow, HoursRow, LeadRow
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.ratios import Ratios
    from journal.desk.shop import ShopView

# While no week has been logged nobody knows the share; it may be a fifth off either way (judgement).
_SHARE_DOUBT = 0.2
_LEAST_SHARE = 0.02
_MOST_PLACES = 200
_LONGEST_LEAD = 730


@dataclass(frozen=True, slots=True)
class BenchTime:
    """When the shop is open, and how much of that is spent at the bench.

    Attributes:
        calendar: hours, days off, zone.
        typed: whether the hours were typed; else they are a starting assumption.
        people: in the shop.
        share: of open hours spent at the bench, > 0 to 1.
        share_sd: standard deviation of its logarithm, from one week to another, or of not knowing it.
        weekly: whether that is the scatter of weeks, which evens out over many.
        said: what the hours and the share rest on, in sentences.
    """

    calendar: Calendar
    typed: bool
    people: int
    share: float
    share_sd: float
    weekly: bool
    said: tuple[str, ...]

    @property
    def week_minutes(self) -> float:
        """At the bench in a week, everybody together."""
        return self.calendar.week.minutes * self.people * self.share


@dataclass(frozen=True, slots=True)
class HoursSheet:
    """What the hours page is filled in with.

    Attributes:
        days: as typed, Monday first; the starting ones while none are typed.
        typed: whether they were typed.
        off: days off that are not over.
        places: for what stands in clamps or dries; None: no limit.
        leads: hardware with the days it takes.
        usual_lead: days for what says nothing.
        stamp: tells this state from any other.
    """

    days: tuple[str, ...]
    typed: bool
    off: tuple[DaysOffRow, ...]
    places: int | None
    leads: tuple[LeadRow, ...]
    usual_lead: int
    stamp: str


def bench_time(session: Session, shop: ShopView, ratios: Ratios) -> BenchTime:
    """The shop's hours and the share of them spent at the bench, as its own weeks have it where any are logged."""
    rows = records.hours(session)
    set_share = shop.allowances["bench_hours_share"]
    people, said_week = shop.row.people, shop.row.minutes_per_week
    week = week_of(rows) if rows else starting_week(said_week, people, set_share)
    off = tuple(DaysOff(row.first_on, row.last_on, row.why) for row in records.days_off(session))
    open_minutes = week.minutes * people
    factor = ratios.factor(Kind.BENCH_HOURS)
    hours = f"Open {format_week(week.spans)}"
    first = f"{hours}." if rows else f"{hours}: {_assumed(said_week, people, set_share)}"
    if factor is not None:
        share = min(max(said_week * factor.mean / open_minutes, _LEAST_SHARE), 1.0)
        seen = f"{share:.0%} of the open hours are spent at the bench, by {counted(factor.seen, 'week')} logged."
        return BenchTime(
            Calendar(week, off, zone_of(shop)), bool(rows), people, share, factor.sd, weekly=True, said=(first, seen)
        )
    share = set_share if rows else min(max(said_week / open_minutes, _LEAST_SHARE), 1.0)
    assumed = f"{share:.0%} of the open hours are taken to be spent at the bench: a starting assumption, until a week is logged."
    return BenchTime(
        Calendar(week, off, zone_of(shop)), bool(rows), people, share, _SHARE_DOUBT, weekly=False, said=(first, assumed)
    )


def zone_of(shop: ShopView) -> str:
    """The zone in which the shop's hours are meant; UTC for one that has said nothing."""
    return shop.row.time_zone or "UTC"


def week_of(rows: Sequence[HoursRow]) -> Week:
    """Stored hours as a week."""
    return Week(tuple(Span(row.weekday, row.opens_minute, row.closes_minute) for row in rows))


def _assumed(minutes_per_week: int, people: int, share: float) -> str:
    who = "" if people == 1 else f" by {people} people"
    return (
        f"no hours are typed yet, so these are worked out from {minutes_per_week / 60:g} h a week at the bench{who}, "
        f"{share:.0%} of the open hours (starting assumption)."
    )


def sheet(session: Session, shop: ShopView, today: date) -> HoursSheet:
    """What the hours page is filled in with."""
    rows = records.hours(session)
    allowed = shop.allowances
    week = (
        week_of(rows)
        if rows
        else starting_week(shop.row.minutes_per_week, shop.row.people, allowed["bench_hours_share"])
    )
    places, leads = records.places(session), records.leads(session)
    return HoursSheet(
        days=tuple(format_spans(week.on(weekday)) for weekday in range(7)),
        typed=bool(rows),
        off=records.days_off(session, since=today),
        places=places,
        leads=leads,
        usual_lead=int(allowed["lead_hardware_days"]),
        stamp=_stamp(rows, places, leads),
    )


def save_hours(
    session: Session,
    days: Sequence[str],
    places: int | None,
    leads: Mapping[int, int | None],
    *,
    stamp: str,
) -> None:
    """Keep the hours of the week as typed, Monday first, and what stands beside them.

    Raises:
        BadRows: days that cannot be read, all of them named; nothing is kept.
        BadInput: no open hours at all, or a number out of range.
        Conflict: they changed since the page was opened.
    """
    if stamp != _stamp(records.hours(session), records.places(session), records.leads(session)):
        raise Conflict("the shop’s hours", "open the page again and repeat the change")
    spans, problems = _read(days)
    if problems:
        raise BadRows("hours of the week", problems)
    week = Week(tuple(spans))
    if places is not None and not 1 <= places <= _MOST_PLACES:
        raise BadInput("places", places, f"a whole number from 1 to {_MOST_PLACES}, or nothing")
    if any(days_ is not None and not 0 <= days_ <= _LONGEST_LEAD for days_ in leads.values()):
        raise BadInput("days until hardware is in hand", max(d or 0 for d in leads.values()), f"0 to {_LONGEST_LEAD}")
    records.put_hours(session, [HoursRow(span.weekday, span.opens, span.closes) for span in week.spans])
    records.put_places(session, places)
    records.put_leads(session, leads)


def _read(days: Sequence[str]) -> tuple[list[Span], list[Problem]]:
    spans: list[Span] = []
    problems: list[Problem] = []
    for weekday, text in enumerate(days):
        try:
            spans += parse_spans(text, weekday)
        except BadInput as refused:
            problems.append(Problem(weekday + 1, DAYS[weekday], str(refused)))
    return spans, problems


def close(session: Session, first: date, last: date, why: str, *, today: date) -> None:
    """Keep some days off.

    Raises:
        BadInput: they end before they begin, are over already, are more than ten years, or say too much.
    """
    DaysOff(first, last)
    if last < today:
        raise BadInput("last day", last, f"a day from today on ({today})")
    if len(why) > 200:
        raise BadInput("what for", why, "at most 200 characters")
    records.add_days_off(session, DaysOffRow(first, last, why.strip()))


def reopen(session: Session, row_id: int) -> None:
    """Take days off away again."""
    records.drop_days_off(session, row_id)


def lead_days(leads: Sequence[LeadRow], usual_days: float) -> dict[str, int]:
    """Days until hardware is in hand, by the word its feature has in a part list; the longest of several alike."""
    found: dict[str, int] = {}
    for lead in leads:
        days = int(usual_days) if lead.lead_days is None else lead.lead_days
        found[lead.feature] = max(days, found.get(lead.feature, 0))
    return found


def hardware_name(feature: str) -> str:
    """How a feature’s hardware is called."""
    return reference.find_feature(feature).plural


def fitted_by(feature: str) -> tuple[str, ...]:
    """Operations that need a feature’s hardware."""
    return tuple(code for code, _ in reference.find_feature(feature).operations)


def _stamp(rows: Sequence[HoursRow], places: int | None, leads: Sequence[LeadRow]) -> str:
    state = [[row.weekday, row.opens_minute, row.closes_minute] for row in rows]
    return checksum(canonical([state, places, [[lead.item_id, lead.lead_days] for lead in leads]]))[:16]
