"""Taking back what was last done to the log: each change keeps the steps that undo it."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from journal.desk import begun, floor_undo, in_the_way, note_undo, photo_undo, taps
from journal.errors import Conflict
from journal.records.queries import acts as records
from journal.records.queries import log, logbook, plans
from journal.records.queries import taps as tap_records
from journal.records.queries.plans import BuiltRow

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import tzinfo

    from sqlalchemy.orm import Session

    from journal.records.queries.acts import ActRow
    from journal.records.queries.log import EntryRow

Step = dict[str, Any]

UNDO_WHY = "taken back"
OFFERED_FOR = timedelta(hours=12)


class Steps:
    """What is done to the log in one go, with the way back kept beside each step."""

    def __init__(self, session: Session, *, why: str, now: datetime) -> None:
        self.session = session
        self.why = why
        self.now = now
        self.done: list[Step] = []

    def begin(self, project_id: int | None, on: date) -> None:
        """Work was done on a project that day; called before that work is kept."""
        self.done += begun.begin(self.session, project_id, on, self.now)

    def add(self, draft: log.EntryDraft) -> EntryRow:
        row = log.add_entry(self.session, draft, now=self.now)
        self.done.append({"do": "remove", "entry": row.id})
        return row

    def change(self, entry_id: int, changes: Mapping[str, object]) -> EntryRow:
        before = logbook.get_any(self.session, entry_id)
        after = log.change_entry(self.session, entry_id, changes, why=self.why, now=self.now)
        moved = [name for name in changes if getattr(before, name) != getattr(after, name)]
        if moved:
            back = {name: _plain(getattr(before, name)) for name in moved}
            here = {name: _plain(getattr(after, name)) for name in moved}
            self.done.append({"do": "change", "entry": entry_id, "to": back, "from": here})
        return after

    def remove(self, entry_id: int) -> None:
        log.remove_entry(self.session, entry_id, why=self.why, now=self.now)
        self.done.append({"do": "restore", "entry": entry_id})

    def restore(self, entry_id: int) -> None:
        log.restore_entry(self.session, entry_id, why=self.why, now=self.now)
        self.done.append({"do": "remove", "entry": entry_id})

    def build(self, project_id: int, row: BuiltRow) -> None:
        """Note how much was built; nothing is kept when it says so already."""
        before = {one.operation: one for one in plans.built(self.session, project_id)}.get(row.operation)
        if before == row:
            return
        plans.put_built(self.session, project_id, [row])
        back = [before.quantity, before.setups, before.note] if before else None
        self.done.append({"do": "built", "project": project_id, "operation": row.operation, "to": back})

    def keep(self, form_key: str, said: str) -> str:
        """Keep what was done, if anything was, so that it can be taken back. Answers what was done."""
        whole = begun.told(said, self.done)
        if self.done:
            records.add_act(self.session, form_key, whole, self.done, now=self.now)
        return whole


def newest(session: Session, now: datetime) -> ActRow | None:
    """What was last done and may still be taken back by one tap."""
    found = records.newest_act(session)
    return found if found and found.undone_at is None and now - found.at <= OFFERED_FOR else None


def undo(session: Session, act_id: int, *, zone: tzinfo, now: datetime) -> str:
    """Take back one thing that was done. Answers what it was.

    Raises:
        Conflict: it was taken back already, or changed since, or something was done later with the same.
    """
    act = records.get_act(session, act_id)
    later = in_the_way.touched(one for one in records.acts_after(session, act_id) if one.undone_at is None)
    if later & in_the_way.touched([act]):
        raise Conflict("what this was about", in_the_way.LATER)
    records.mark_undone(session, act_id, now=now)
    for step in reversed(act.steps):
        _BACK[step["do"]](session, step, zone, now)
    return act.said


def _remove(session: Session, step: Step, _zone: tzinfo, now: datetime) -> None:
    log.remove_entry(session, step["entry"], why=UNDO_WHY, now=now)


def _restore(session: Session, step: Step, _zone: tzinfo, now: datetime) -> None:
    log.restore_entry(session, step["entry"], why=UNDO_WHY, now=now)


def _change(session: Session, step: Step, _zone: tzinfo, now: datetime) -> None:
    row = logbook.get_any(session, step["entry"])
    if any(_plain(getattr(row, name)) != value for name, value in step["from"].items()):
        raise Conflict("this entry", "correct it in the log")
    back = {name: _read(name, value) for name, value in step["to"].items()}
    log.change_entry(session, row.id, back, why=UNDO_WHY, now=now)


def _built(session: Session, step: Step, _zone: tzinfo, _now: datetime) -> None:
    if step["to"] is None:
        plans.drop_built(session, step["project"], step["operation"])
    else:
        plans.put_built(session, step["project"], [BuiltRow(step["operation"], *step["to"])])


def _void(session: Session, step: Step, zone: tzinfo, now: datetime) -> None:
    row = tap_records.set_void(session, step["tap"], now)
    taps.work_out(session, row.worker_id, row.at, zone=zone, now=now)


def _unvoid(session: Session, step: Step, zone: tzinfo, now: datetime) -> None:
    row = tap_records.set_void(session, step["tap"], None)
    taps.work_out(session, row.worker_id, row.at, zone=zone, now=now)


_BACK: dict[str, Callable[[Session, Step, tzinfo, datetime], None]] = {
    "remove": _remove,
    "restore": _restore,
    "change": _change,
    "built": _built,
    "void": _void,
    "unvoid": _unvoid,
    "not_begun": begun.take_back,
    **floor_undo.BACK,
    **note_undo.BACK,
    **photo_undo.BACK,
}


def _plain(value: object) -> object:
    return value.isoformat() if isinstance(value, date) else value


def _read(name: str, value: Any) -> object:  # noqa: ANN401 - as JSON keeps it
    if name == "on_date":
        return date.fromisoformat(value)
    return datetime.fromisoformat(value) if name == "started_at" and value else value
