"""Taps of the clock taken in once, in whatever order they come, and time entries written from the stretches they make.

A stretch's entry hangs on the tap that opened it. When a late tap changes a stretch, its entry follows, with a line in its
history; an entry that somebody corrected by hand stays as it was corrected.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from journal import reference
from journal.desk.paces import REWORK, shop_book
from journal.errors import BadInput, MissingReference
from journal.floor import clock
from journal.floor.stretches import derive
from journal.floor.taps import Key, Outcome, Tap, Task, What
from journal.records.base import checksum
from journal.records.queries import acts, devices, log, logbook
from journal.records.queries import taps as records
from journal.records.queries.log import EntryDraft
from journal.records.words import EntrySource

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence
    from datetime import tzinfo

    from sqlalchemy.orm import Session

    from journal.desk.sending import Sending
    from journal.floor.stretches import Effect, Stretch
    from journal.pace.model import Book
    from journal.records.queries.devices import DeviceRow
    from journal.records.queries.taps import TapRow

CLOCK_WHY = "another tap of the clock came in"
AHEAD = timedelta(minutes=2)  # how far a device's clock may be ahead of this one
OLDEST = timedelta(days=366)
MOST_AT_ONCE = 500
_LARGEST_COUNT = 2**31 - 1
_LONGEST_BODY = 1000  # characters of a tap that cannot be read
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
    session: Session, device: DeviceRow, sent: Sequence[object], *, zone: tzinfo, now: datetime
) -> tuple[Answer, ...]:
    """Take in taps as a device sent them, each once; what cannot be taken is kept aside and says why."""
    answers: list[Answer] = []
    touched: dict[int, datetime] = {}
    for body in sent[:MOST_AT_ONCE]:
        try:
            tap = _read(body, device.id)
            answers.append(_take_one(session, tap, touched, now=now))
        except (BadInput, MissingReference) as refusal:
            text = json.dumps(body, ensure_ascii=False, sort_keys=True)[:_LONGEST_BODY]
            records.keep_refused(session, device.id, _storable(text), _storable(str(refusal)), now=now)
            answers.append(Answer(_count_of(body), "refused", str(refusal)))
    for worker_id, since in touched.items():
        work_out(session, worker_id, since, zone=zone, now=now)
    return tuple(answers)


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
    said = f"{_DONE[what]} {name_of(task, shop_book(session))}"
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
        tap = Tap(Key(device.id, sequence + ahead), worker_id, what, task, sent.now)
        _require_known(session, tap, sent.now)
        rows.append(records.add_tap(session, tap, now=sent.now))
    for row in rows:
        work_out(session, row.worker_id, sent.now, zone=sent.zone, now=sent.now)
    return [{"do": "void", "tap": row.id} for row in rows]


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


def _storable(text: str) -> str:
    """A text a database takes: JSON may name half a character, or the one of no number, which is none."""
    return text.encode("utf-8", "replace").decode().replace("\0", "?")


def _read(body: object, device_id: int) -> Tap:
    """A tap as it was sent.

    Raises:
        BadInput: anything in it is missing or makes no sense.
    """
    if not isinstance(body, Mapping):
        raise BadInput("tap", str(body), "an event with its person, work, moment and count")
    sequence = _whole(body, "sequence")
    if not 0 <= sequence <= _LARGEST_COUNT:
        raise BadInput("sequence", sequence, "a count from 0")
    project = body.get("project")
    try:
        what = What(str(body.get("what")))
    except ValueError:
        raise BadInput("what", body.get("what"), ", ".join(What)) from None
    task = Task(
        None if project is None else _whole(body, "project"),
        str(body.get("work") or ""),
        by_stage=body.get("by_stage") is True,
    )
    return Tap(Key(device_id, sequence), _whole(body, "person"), what, task, _moment(body.get("at")))


def _whole(body: Mapping[str, object], field: str) -> int:
    value = body.get(field)
    if not isinstance(value, int) or isinstance(value, bool) or abs(value) > _LARGEST_COUNT:
        raise BadInput(field, value, "a whole number")
    return value


def _moment(value: object) -> datetime:
    try:
        moment = datetime.fromisoformat(str(value))
        if moment.tzinfo is not None:
            return moment.astimezone(UTC)
    except (ValueError, OverflowError):
        pass
    raise BadInput("at", value, "a moment with its zone, such as 2026-03-01T18:30:00Z")


def _count_of(body: object) -> int | None:
    count = body.get("sequence") if isinstance(body, Mapping) else None
    return count if isinstance(count, int) and not isinstance(count, bool) else None


def _take_one(session: Session, tap: Tap, touched: dict[int, datetime], *, now: datetime) -> Answer:
    known = records.find_tap(session, tap.key)
    if known is not None:
        if known.event != tap:
            raise BadInput("sequence", tap.key.sequence, "a count this device has not used for another tap")
        return Answer(tap.key.sequence, "known")
    _require_known(session, tap, now)
    row = records.add_tap(session, tap, now=now)
    said = f"{_DONE[tap.what]} {name_of(tap.task, shop_book(session))}"
    acts.add_act(session, f"tap-{row.id}", said, [{"do": "void", "tap": row.id}], now=now)
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
    if tap.at > now + AHEAD:
        raise BadInput("at", f"{tap.at:%Y-%m-%d %H:%M} UTC", "a moment that has been; set the clock of this device")
    if tap.at < now - OLDEST:
        raise BadInput("at", f"{tap.at:%Y-%m-%d %H:%M} UTC", "a moment of the last twelve months")


def require_work(code: str, book: Book, *, by_stage: bool) -> None:
    """Refuse work that the book does not know; rework is a mark on an entry, never work of its own.

    Raises:
        MissingReference: naming what there is.
    """
    known: tuple[str, ...] = tuple(reference.stages()) if by_stage else tuple(c for c in book if c != REWORK)
    if code not in known:
        raise MissingReference("stage" if by_stage else "operation", code, known)
