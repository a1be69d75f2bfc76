"""A clock that ran too long to be believed: when did the work end?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.desk import taps
from journal.desk.paces import shop_book
from journal.errors import BadInput, Conflict
from journal.floor import clock
from journal.floor.stretches import derive
from journal.floor.taps import Key, Tap, What
from journal.records.queries import acts, devices
from journal.records.queries import taps as records

if TYPE_CHECKING:
    from datetime import datetime, tzinfo

    from sqlalchemy.orm import Session

    from journal.desk.sending import Sending
    from journal.floor.stretches import Stretch
    from journal.records.queries.taps import TapRow


@dataclass(frozen=True, slots=True)
class Forgotten:
    """A stretch that asks: the tap that opened it, and the stretch itself, which may still run."""

    tap: TapRow
    stretch: Stretch


def all_forgotten(session: Session, *, zone: tzinfo, now: datetime) -> tuple[Forgotten, ...]:
    """Everything that asks, ended or still running, oldest first."""
    ended = [_with_stretch(session, row) for row in records.asking(session)]
    rows = {Key(row.device_id, row.sequence): row for row in records.newest_windows(session)}
    running = [
        Forgotten(rows[one.opened_by], one)
        for one in derive(row.event for row in rows.values()).running
        if clock.forgotten(one.start, now, zone)
    ]
    return tuple(sorted([*ended, *running], key=lambda one: one.stretch.start))


def ended_at(session: Session, tap_id: int, text: str, *, sent: Sending) -> str:
    """Say when it ended: "5", "17:30", "2 h". A stop at that moment, like any other. Answers what was done.

    Raises:
        BadInput: not readable, before its start, after its end, or more than a day.
        Conflict: it does not ask (any more).
    """
    if before := sent.before(session):
        return before
    found = _one(session, tap_id, sent.now)
    latest = min(found.stretch.end or sent.now, sent.now)
    end = clock.read_end(text, found.stretch.start, sent.zone, latest=latest)
    device = devices.server_device(session, now=sent.now)
    key = Key(device.id, records.next_sequence(session, device.id))
    stop = records.add_tap(session, Tap(key, found.tap.worker_id, What.STOP, found.tap.task, end), now=sent.now)
    taps.work_out(session, found.tap.worker_id, end, zone=sent.zone, now=sent.now, believed=[tap_id])
    local = end.astimezone(sent.zone)
    said = f"{taps.name_of(found.tap.task, shop_book(session))} ended at {local:%H:%M}"
    acts.add_act(session, sent.key, said, [{"do": "void", "tap": stop.id}], now=sent.now)
    return said


def believe(session: Session, tap_id: int, *, sent: Sending) -> str:
    """It really went on so long.

    Raises:
        BadInput: it runs still, or is longer than a day.
        Conflict: it does not ask (any more).
    """
    if before := sent.before(session):
        return before
    found = _one(session, tap_id, sent.now)
    end = found.stretch.end
    if end is None:
        raise BadInput("end", "", "a clock that was stopped; stop it first")
    if end - found.stretch.start > clock.A_DAY:
        raise BadInput("stretch", str(end - found.stretch.start), "at most 24 hours; say when it ended")
    taps.work_out(session, found.tap.worker_id, found.stretch.start, zone=sent.zone, now=sent.now, believed=[tap_id])
    entry_id = records.get_tap(session, tap_id).entry_id
    said = f"{taps.name_of(found.tap.task, shop_book(session))} is kept as the clock has it"
    acts.add_act(session, sent.key, said, [{"do": "remove", "entry": entry_id}], now=sent.now)
    return said


def drop(session: Session, tap_id: int, *, sent: Sending) -> str:
    """Nothing of it was work: its start is taken back.

    Raises:
        Conflict: it does not ask (any more).
    """
    if before := sent.before(session):
        return before
    found = _one(session, tap_id, sent.now)
    row = records.set_void(session, tap_id, sent.now)
    taps.work_out(session, row.worker_id, row.at, zone=sent.zone, now=sent.now)
    said = f"{taps.name_of(row.task, shop_book(session))} is not logged"
    acts.add_act(session, sent.key, said, [{"do": "unvoid", "tap": found.tap.id}], now=sent.now)
    return said


def _one(session: Session, tap_id: int, now: datetime) -> Forgotten:
    """The stretch a tap opened, while it has no entry.

    Raises:
        Conflict: it has one, or the tap opened nothing.
    """
    row = records.get_tap(session, tap_id)
    found = _with_stretch(session, row) if row.voided_at is None and row.entry_id is None else None
    if found is None or found.stretch.opened_by != Key(row.device_id, row.sequence) or found.stretch.start > now:
        raise Conflict("this clock", "it has been answered already; open the page again")
    return found


def _with_stretch(session: Session, row: TapRow) -> Forgotten | None:
    key = Key(row.device_id, row.sequence)
    window = records.window(session, row.worker_id, row.at)
    derived = derive(one.event for one in window if one.voided_at is None)
    stretch = next((one for one in derived.stretches if one.opened_by == key), None)
    return Forgotten(row, stretch) if stretch else None
