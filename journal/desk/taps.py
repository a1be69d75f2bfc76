"""Taps of the clock taken in once, in whatever order they come, and time entries written from the stretches they make.

A stretch's entry hangs on the tap that opened it. When a late tap changes a stretch, its entry follows, with a line in its
history; an entry that somebody corrected by hand stays as it was corrected.
"""

from __future__ import annotations

import json
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from journal import reference
from journal.desk import begun, tap_body
from journal.desk.paces import REWORK, shop_book
from journal.errors import BadInput, JournalError, MissingReference
from journal.floor import clock
from journal.floor.stretches import derive
from journal.floor.taps import Key, Outcome, Tap, Task, What
from journal.records.base import checksum
from journal.records.queries import acts, devices, log, logbook
from journal.records.queries import taps as records
from journal.records.queries.log import EntryDraft
from journal.records.words import EntrySource

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence
    from datetime import tzinfo

    from sqlalchemy.orm import Session

    from journal.desk.sending import Sending
    from journal.desk.tap_body import Form
    from journal.floor.stretches import Effect, Stretch
    from journal.pace.model import Book
    from journal.records.queries.devices import DeviceRow
    from journal.records.queries.taps import TapRow

CLOCK_WHY = "another tap of the clock came in"
AHEAD = timedelta(minutes=2)  # how far a device's clock may be ahead of this one
OLDEST = timedelta(days=366)
MOST_AT_ONCE = 500
_LONGEST_BODY = 20_000  # characters of what cannot be taken; a coat with the longest note is shorter
_TOKEN_BYTES = 32
_SHORTEST_UID = 16


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of a tap that was sent: "kept", "known" (it was here already) or "refused", and why."""

    sequence: int | None
    state: str
    why: str = ""


def pair(session: Session, uid: str, label: str, *, now: datetime) -> str:
    """Let a browser send taps; answers its token, of which only a digest is kept.

    Raises:
        BadInput: no name of its own, or it was revoked.
    """
    if not (_SHORTEST_UID <= len(uid) <= 60 and uid.isascii() and uid.isalnum()):
        raise BadInput("device", uid, "16 to 60 letters and digits of its own making")
    token = secrets.token_urlsafe(_TOKEN_BYTES)
    devices.put_device(session, uid, label.strip()[:60] or "a browser", checksum(token), now=now)
    return token


def device_of(session: Session, token: str) -> DeviceRow | None:
    """The device that a token belongs to; None when there is none, or it was revoked."""
    return devices.device_by_token(session, checksum(token)) if token else None


def take(
    session: Session,
    device: DeviceRow,
    sent: Sequence[object],
    *,
    zone: tzinfo,
    now: datetime,
    forms: Callable[[Form], str] | None = None,
) -> tuple[Answer, ...]:
    """Take in taps as a device sent them, each once; what cannot be taken is kept aside and says why.

    Args:
        session: a writing session.
        device: whose.
        sent: taps, and forms that were filled in without signal, in the order in which they were made.
        zone: the shop's.
        now: the moment.
        forms: takes in a form and answers what was done; without it forms are refused.
    """
    answers: list[Answer] = []
    touched: dict[int, datetime] = {}
    for body in sent[:MOST_AT_ONCE]:
        try:
            if tap_body.is_form(body):
                _work_out_all(session, touched, zone=zone, now=now)
                answers.append(_take_form(session, tap_body.read_form(body), forms, now=now))
            else:
                tap = tap_body.read(body, device.id)
                answers.append(_take_one(session, tap, touched, zone=zone, now=now))
        except JournalError as refusal:
            if not tap_body.is_live(body):
                text = json.dumps(body, ensure_ascii=False, sort_keys=True)[:_LONGEST_BODY]
                records.keep_refused(
                    session, device.id, tap_body.storable(text), tap_body.storable(str(refusal)), now=now
                )
            answers.append(Answer(tap_body.count_of(body), "refused", str(refusal)))
    _work_out_all(session, touched, zone=zone, now=now)
    return tuple(answers)


def _work_out_all(session: Session, touched: dict[int, datetime], *, zone: tzinfo, now: datetime) -> None:
    for worker_id, since in touched.items():
        work_out(session, worker_id, since, zone=zone, now=now)
    touched.clear()


def _take_form(session: Session, form: Form, forms: Callable[[Form], str] | None, *, now: datetime) -> Answer:
    """A form by its own key, which it has whether it comes from the page itself or from the queue."""
    if acts.find_act(session, form.key) is not None:
        return Answer(form.sequence, "known")
    if forms is None:
        raise BadInput("form", form.errand, "a tap of the clock")
    require_moment(form.at, now)
    with session.begin_nested():  # a form that is refused half way leaves nothing
        forms(form)
    return Answer(form.sequence, "kept")


def tap_now(
    session: Session,
    worker_ids: Sequence[int],
    what: What,
    task: Task,
    *,
    sent: Sending,
) -> str:
    """A tap on the page itself, for one person or several at once; sent twice, it counts once. Answers what was done."""
    if before := sent.before(session):
        return before
    steps = put_taps(session, worker_ids, what, task, sent=sent)
    said = begun.told(f"{_DONE[what]} {name_of(task, shop_book(session))}", steps)
    acts.add_act(session, sent.key, said, steps, now=sent.now)
    return said


def put_taps(
    session: Session, worker_ids: Sequence[int], what: What, task: Task, *, sent: Sending
) -> list[dict[str, Any]]:
    """A tap on the page for each of these people, as part of a larger errand; answers the steps that take them back."""
    if not worker_ids:
        raise BadInput("who", "", "at least one of those at the bench")
    device = devices.server_device(session, now=sent.now)
    sequence = records.next_sequence(session, device.id)
    rows = []
    for ahead, worker_id in enumerate(worker_ids):
        tap = Tap(Key(device.id, sequence + ahead), worker_id, what, task, sent.when)
        _require_known(session, tap, sent.now)
        rows.append(records.add_tap(session, tap, now=sent.now))
    steps = _begun(session, what, task, sent.when, sent.zone, sent.now)
    for row in rows:
        work_out(session, row.worker_id, sent.when, zone=sent.zone, now=sent.now)
    return [*steps, *({"do": "void", "tap": row.id} for row in rows)]


def _begun(session: Session, what: What, task: Task, at: datetime, zone: tzinfo, now: datetime) -> list[dict[str, Any]]:
    """A clock that starts on an accepted project puts it in build, on the day of the tap."""
    return begun.begin(session, task.project_id, clock.day_of(at, zone), now) if what is What.START else []


_DONE = {What.START: "Started", What.STOP: "Stopped", What.PAUSE: "Paused", What.RESUME: "Resumed"}


def name_of(task: Task, book: Book) -> str:
    """The work as a maker calls it."""
    if task.by_stage:
        found = reference.stages().get(task.code)
        return found.name if found else task.code
    return book[task.code].name if task.code in book else task.code


def work_out(
    session: Session,
    worker_id: int,
    since: datetime,
    *,
    zone: tzinfo,
    now: datetime,
    believed: Collection[int] = (),
) -> None:
    """Derive one person's stretches again from a moment on, and bring outcomes and time entries to what follows.

    Args:
        session: a writing session.
        worker_id: whose.
        since: the moment of the earliest tap that came, went or returned.
        zone: the shop's.
        now: for the history.
        believed: taps whose stretch is right however long it is.
    """
    rows = records.window(session, worker_id, since)
    derived = derive(row.event for row in rows if row.voided_at is None)
    stretches = {one.opened_by: one for one in derived.stretches}
    held = [row.entry_id for row in rows if row.entry_id is not None]
    writer = _Writer(session, zone, now, records.entries_by_hand(session, held, CLOCK_WHY), frozenset(believed))
    for row in rows:
        key = Key(row.device_id, row.sequence)
        writer.put(row, stretches.get(key), derived.effects.get(key))
    session.flush()


@dataclass(frozen=True, slots=True)
class _Writer:
    """Brings the entry of one tap to what its stretch says."""

    session: Session
    zone: tzinfo
    now: datetime
    by_hand: frozenset[int]
    believed: frozenset[int]

    def put(self, row: TapRow, stretch: Stretch | None, effect: Effect | None) -> None:
        outcome = effect.outcome if effect else Outcome.NOTHING
        why = effect.why if effect else "taken back"
        entry_id = row.entry_id
        if stretch is None or stretch.end is None:
            self._drop(entry_id)
        elif entry_id in self.by_hand:
            pass  # corrected by hand: it stays so
        elif entry_id is None and self._asks(row, stretch):
            outcome = Outcome.ASKS
        elif entry_id is None:
            entry_id = self._add(stretch)
        else:
            outcome = self._follow(row, stretch, entry_id) or outcome
        if (outcome, why, entry_id) != (row.outcome, row.why, row.entry_id):
            records.mark(self.session, row.id, outcome=outcome, why=why, entry_id=entry_id)

    def _asks(self, row: TapRow, stretch: Stretch) -> bool:
        end = stretch.end or self.now
        return row.id not in self.believed and clock.forgotten(stretch.start, end, self.zone)

    def _add(self, stretch: Stretch) -> int | None:
        draft = self._draft(stretch)
        return log.add_entry(self.session, draft, now=self.now).id if draft.seconds else None

    def _follow(self, row: TapRow, stretch: Stretch, entry_id: int) -> Outcome | None:
        """Bring an entry to its stretch; nothing is written when it says so already."""
        found, draft = logbook.get_any(self.session, entry_id), self._draft(stretch)
        says = {"on_date": draft.on_date, "started_at": draft.started_at, "seconds": draft.seconds}
        same = all(getattr(found, field) == value for field, value in says.items())
        if same and found.removed_at is None:
            return None
        if self._asks(row, stretch):
            self._drop(entry_id)
            return Outcome.ASKS
        log.restore_entry(self.session, entry_id, why=CLOCK_WHY, now=self.now)
        log.change_entry(self.session, entry_id, says, why=CLOCK_WHY, now=self.now)
        return None

    def _drop(self, entry_id: int | None) -> None:
        if entry_id is not None and entry_id not in self.by_hand:
            log.remove_entry(self.session, entry_id, why=CLOCK_WHY, now=self.now)

    def _draft(self, stretch: Stretch) -> EntryDraft:
        task = stretch.task
        return EntryDraft(
            on_date=clock.day_of(stretch.start, self.zone),
            started_at=stretch.start,
            seconds=stretch.seconds(self.now),
            project_id=task.project_id,
            operation=None if task.by_stage else task.code,
            stage=task.code if task.by_stage else None,
            worker_id=stretch.person,
            source=EntrySource.CLOCK,
        )


def _take_one(session: Session, tap: Tap, touched: dict[int, datetime], *, zone: tzinfo, now: datetime) -> Answer:
    known = records.find_tap(session, tap.key)
    if known is not None:
        if known.event != tap:
            raise BadInput("sequence", tap.key.sequence, "a count this device has not used for another tap")
        return Answer(tap.key.sequence, "known")
    _require_known(session, tap, now)
    row = records.add_tap(session, tap, now=now)
    steps = [*_begun(session, tap.what, tap.task, tap.at, zone, now), {"do": "void", "tap": row.id}]
    said = begun.told(f"{_DONE[tap.what]} {name_of(tap.task, shop_book(session))}", steps)
    acts.add_act(session, f"tap-{row.id}", said, steps, now=now)
    touched[tap.person] = min(tap.at, touched.get(tap.person, tap.at))
    return Answer(tap.key.sequence, "kept")


def _require_known(session: Session, tap: Tap, now: datetime) -> None:
    """Refuse a tap about nobody, no project or no work, and one from the future."""
    people = {one.id: one.label for one in devices.workers(session)}
    if tap.person not in people:
        raise MissingReference("place at the bench", str(tap.person), tuple(people.values()))
    project = tap.task.project_id
    if project is not None and project not in records.titles(session, [project]):
        raise MissingReference("project", str(project), ())
    require_work(tap.task.code, shop_book(session), by_stage=tap.task.by_stage)
    require_moment(tap.at, now)


def require_moment(at: datetime, now: datetime) -> None:
    """Refuse what happens in the future, and what is older than anybody remembers.

    Raises:
        BadInput: naming the moment.
    """
    if at > now + AHEAD:
        raise BadInput("at", f"{at:%Y-%m-%d %H:%M} UTC", "a moment that has been; set the clock of this device")
    if at < now - OLDEST:
        raise BadInput("at", f"{at:%Y-%m-%d %H:%M} UTC", "a moment of the last twelve months")


def require_work(code: str, book: Book, *, by_stage: bool) -> None:
    """Refuse work that the book does not know; rework is a mark on an entry, never work of its own.

    Raises:
        MissingReference: naming what there is.
    """
    known: tuple[str, ...] = tuple(reference.stages()) if by_stage else tuple(c for c in book if c != REWORK)
    if code not in known:
        raise MissingReference("stage" if by_stage else "operation", code, known)
