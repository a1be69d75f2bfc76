"""The lumber of a project at rest: its moisture readings, the day it is ready, whether it may be milled today."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import timedelta
from statistics import mean
from typing import TYPE_CHECKING

from journal.build.moisture import FIBRE_SATURATION_PCT, Advice, Assumed, Drying, Reading, dry_out, may_mill
from journal.build.stock import Dimensional, Sheet
from journal.errors import BadInput
from journal.records.queries import building, log

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.desk.shop import ShopView
    from journal.quote.takeoff import Takeoff
    from journal.records.queries.building import ReadingDraft, ReadingRow

_STICKER = "sticker"  # the operation
# Kiln-dried hardwood as it arrives (common practice: 6 to 10 %).
HARDWOOD_PCT = 10.0


@dataclass(frozen=True, slots=True)
class Stack:
    """The lumber in stickers.

    Attributes:
        drying: fitted to the readings, or what is usual.
        stacked_on: the day the days are counted from; `said` when somebody typed it, else the first logged stickering,
            the first reading, or today.
        ready_on, early_on, late_on: the day, and the days between which it falls eight times in ten.
        now_pct: the moisture it has today.
        advice: whether it may be milled at that; None when it is wood too wet for any sum.
        readings: as typed, oldest first.
        daily: the mean reading of each day it was measured, by days since it was stacked.
    """

    drying: Drying
    stacked_on: date
    said: bool
    ready_on: date
    early_on: date
    late_on: date
    now_pct: float
    advice: Advice | None
    readings: tuple[ReadingRow, ...]
    daily: tuple[Reading, ...]


def stack_of(
    session: Session, project_id: int, taken: Takeoff, shop: ShopView, emc: float, today: date
) -> Stack | None:
    """The lumber of a commission as it rests today, in a shop whose air brings wood to `emc` percent; None without any."""
    lumber = [bill.stock for bill in taken.bills if not isinstance(bill.stock, Sheet)]
    if not lumber:
        return None
    typed = building.readings(session, project_id)
    said = building.stacked_on(session, project_id)
    logged = None if said else log.first_day(session, project_id, _STICKER)
    stacked_on = min([said or logged or today, *(row.on_date for row in typed)])
    daily = _daily(typed, stacked_on)
    drying = _drying(daily, emc, shop, wet=any(isinstance(stock, Dimensional) for stock in lumber))
    ready, early, late = (
        stacked_on + timedelta(days=round(days)) for days in (drying.ready_days, drying.early_days, drying.late_days)
    )
    now_pct = drying.moisture_pct(max((today - stacked_on).days, 0))
    measurable = 0 <= now_pct < FIBRE_SATURATION_PCT
    advice = may_mill(now_pct, emc, shop.allowances["ready_within_pct"]) if measurable else None
    return Stack(drying, stacked_on, said is not None, ready, early, late, now_pct, advice, typed, daily)


def _daily(typed: Sequence[ReadingRow], stacked_on: date) -> tuple[Reading, ...]:
    by_day: dict[int, list[float]] = defaultdict(list)
    for row in typed:
        by_day[(row.on_date - stacked_on).days].append(row.moisture_pct)
    return tuple(Reading(day, mean(values)) for day, values in sorted(by_day.items()))


def _drying(daily: Sequence[Reading], emc: float, shop: ShopView, *, wet: bool) -> Drying:
    air = shop.allowances
    usual = air["stock_moisture_pct"] if wet else min(air["stock_moisture_pct"], HARDWOOD_PCT)
    rest_days = max(air["rest_wet_days"] if wet else air["rest_dry_days"], 1.0)
    drying = dry_out(daily, emc, Assumed(usual, rest_days, air["ready_within_pct"]))
    if daily:
        return drying
    # Not measured: the shop's own habit stands, whatever the curve through it would say.
    return replace(drying, ready_days=rest_days, early_days=rest_days / 2, late_days=rest_days * 2)


def note_reading(session: Session, project_id: int, draft: ReadingDraft, *, today: date, now: datetime) -> ReadingRow:
    """Keep a reading.

    Raises:
        BadInput: of a day that has not come yet.
    """
    _refuse_tomorrow("read on", draft.on_date, today)
    return building.add_reading(session, project_id, draft, now=now)


def one(session: Session, project_id: int, reading_id: int) -> ReadingRow:
    """A reading of a project, taken back or not."""
    return building.get_reading(session, project_id, reading_id)


def take_back(session: Session, project_id: int, reading_id: int, *, now: datetime) -> ReadingRow:
    """Take a reading back; it is kept, so that it can be put again."""
    return building.take_back_reading(session, project_id, reading_id, now)


def put_again(session: Session, project_id: int, reading_id: int) -> ReadingRow:
    """Let a reading that was taken back hold again."""
    return building.take_back_reading(session, project_id, reading_id, None)


def say_stacked(session: Session, project_id: int, on: date, *, today: date) -> None:
    """Say since when the lumber is in stickers.

    Raises:
        BadInput: a day that has not come yet.
    """
    _refuse_tomorrow("in stickers since", on, today)
    building.put_stack(session, project_id, on)


def _refuse_tomorrow(field: str, on: date, today: date) -> None:
    if on > today:
        raise BadInput(field, on.isoformat(), f"today, {today.isoformat()}, or a day before")
