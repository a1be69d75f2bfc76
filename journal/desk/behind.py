"""What is behind the pace of one operation: every finished project that speaks of it, entry by entry; and setting aside.

A project speaks of an operation by entries of its own, or by those of a whole stage in which it was done.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.desk import paces
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.queries import behind as records
from journal.records.queries import log as log_records

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.pace.design import Row
    from journal.pace.model import BookPace, PaceBelief
    from journal.records.queries.behind import EntryBehind
    from journal.records.queries.log import ChangeRow, EntryRow, QuantityRow

LONGEST_REASON = 500


@dataclass(frozen=True, slots=True)
class Job:
    """A project's entries of the operation, or of its whole stage.

    Attributes:
        project_id, code, title: which.
        by_stage: the entries are of the whole stage.
        on: the newest day.
        entries: the newest first; done again and set aside among them.
        minutes: of one person, those of `entries` that are learned from.
        quantity, setups: how much was done; None where nobody said, or for a whole stage.
        share: which part of the stage's work this operation was, by the book; 1 for its own entries.
        ratio: times the book; None when nothing is learned from it and nothing could be.
        learned: the pace is learned from it; otherwise it is set aside or cannot be measured.
    """

    project_id: int
    code: str
    title: str
    by_stage: bool
    on: date
    entries: tuple[EntryRow, ...]
    minutes: float
    quantity: float | None
    setups: float
    share: float
    ratio: float | None
    learned: bool


@dataclass(frozen=True, slots=True)
class Behind:
    """The pace of an operation with all that speaks of it.

    Attributes:
        book: the starting book's.
        belief: the shop's own.
        jobs: the newest first.
        changes: entry → its corrections, oldest first.
    """

    book: BookPace
    belief: PaceBelief
    jobs: tuple[Job, ...]
    changes: Mapping[int, tuple[ChangeRow, ...]]


def behind(session: Session, code: str, today: date) -> Behind:
    """What is behind the pace of an operation.

    Raises:
        MissingReference: the book has no such operation.
    """
    book = paces.shop_book(session)
    if code not in book:
        raise MissingReference("operation", code, tuple(book))
    entry = book[code]
    taught = paces.learn(session, today)
    rows = {(row.project, row.by_stage): row for row in taught.evidence.rows if code in dict(row.shares)}
    amounts = {row.project_code: row for row in paces.quantities(session) if row.operation == code}
    found: dict[tuple[str, bool], list[EntryBehind]] = {}
    for one in records.entries_behind(session, code, entry.stage):
        found.setdefault((one.project_code, one.entry.operation is None), []).append(one)
    jobs = [
        _job(held, rows.get(key), amounts.get(key[0]), entry)
        for key, held in found.items()
        if key in rows or not key[1]  # a whole stage speaks of this operation only where it was done in it
    ]
    belief = next(one for one in paces.beliefs(taught) if one.code == code)
    ordered = sorted(jobs, key=lambda job: (job.on, job.project_id), reverse=True)
    return Behind(entry, belief, tuple(ordered), records.changes_behind(session, code, entry.stage))


def set_aside(session: Session, entry_id: int, reason: str, *, now: datetime) -> EntryRow:
    """Keep an entry out of learning; it stays in every sum of hours.

    Raises:
        BadInput: no reason, or too long a one.
        Conflict: it is set aside already.
        MissingReference: there is no such entry.
    """
    reason = reason.strip()
    if not reason or len(reason) > LONGEST_REASON:
        raise BadInput("reason", reason, f"why it is not to be learned from, at most {LONGEST_REASON} characters")
    if records.get_entry(session, entry_id).set_aside_reason is not None:
        raise Conflict("this entry", "it is set aside already; open the page again to see why")
    return log_records.change_entry(session, entry_id, {"set_aside_reason": reason}, why=reason, now=now)


def restore(session: Session, entry_id: int, *, now: datetime) -> EntryRow:
    """Learn from an entry again.

    Raises:
        Conflict: it is not set aside.
        MissingReference: there is no such entry.
    """
    if records.get_entry(session, entry_id).set_aside_reason is None:
        raise Conflict("this entry", "it is learned from already; open the page again")
    return log_records.change_entry(session, entry_id, {"set_aside_reason": None}, why="learned from again", now=now)


def _job(held: Sequence[EntryBehind], row: Row | None, amount: QuantityRow | None, entry: BookPace) -> Job:
    first = held[0]
    by_stage = first.entry.operation is None
    own = None if by_stage else amount
    entries = tuple(one.entry for one in held)
    usable = [one for one in entries if not one.rework]
    kept = [one for one in usable if one.set_aside_reason is None] or usable
    minutes = sum(one.seconds * one.people for one in kept) / 60
    return Job(
        project_id=first.project_id,
        code=first.project_code,
        title=first.project_title,
        by_stage=by_stage,
        on=max(one.on_date for one in entries),
        entries=entries,
        minutes=minutes,
        quantity=own.quantity if own else None,
        setups=float(own.setups) if own else 0.0,
        share=dict(row.shares)[entry.code] if row else 1.0,
        ratio=row.minutes / row.baseline_minutes if row else _ratio(minutes, own, entry),
        learned=row is not None,
    )


def _ratio(minutes: float, amount: QuantityRow | None, entry: BookPace) -> float | None:
    """Of time that is wholly set aside."""
    baseline = entry.baseline_minutes(amount.setups, amount.quantity) if amount else 0.0
    return minutes / baseline if baseline > 0 and minutes > 0 else None
