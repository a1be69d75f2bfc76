"""Notes of a project: written, changed, taken out and put back; each with its way back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.desk import photos
from journal.desk.note_undo import change_step
from journal.errors import BadInput, MissingReference
from journal.records.queries import acts, devices, logbook
from journal.records.queries import notes as records
from journal.records.queries import projects as project_records

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.note_undo import Step
    from journal.desk.photos import Hung
    from journal.desk.sending import Sending
    from journal.records.queries.log import EntryRow
    from journal.records.queries.notes import NoteRow
    from journal.records.queries.photos import PhotoDraft
    from journal.records.queries.projects import ProjectRow

PAGE = 30  # notes shown at once
LONGEST = 10_000  # characters of a note


@dataclass(frozen=True, slots=True)
class Wanted:
    """A note as somebody writes it: about a stage, an operation or a time entry; about none of them, all of the project.

    Attributes:
        text: up to LONGEST characters.
        day: of what is told.
        operation, stage, entry_id: what it is about, one of them at most.
        worker_id: who writes it; None: nobody named.
    """

    text: str
    day: date
    operation: str | None = None
    stage: str | None = None
    entry_id: int | None = None
    worker_id: int | None = None

    def __post_init__(self) -> None:
        if len(self.text) > LONGEST:
            raise BadInput("text", f"{len(self.text):,} characters", f"{LONGEST:,} or fewer")


@dataclass(frozen=True, slots=True)
class NotesPage:
    """A page of a project's notes.

    Attributes:
        project: whose.
        notes: the newest day first.
        entries: number → the time entries that some of them are about.
        workers: id → label of everybody who was ever at the bench.
        photos: number of a note → the photos that hang on it.
        total, removed: how many notes there are, and how many were taken out.
        page, pages: which page of how many, from 1.
    """

    project: ProjectRow
    notes: tuple[NoteRow, ...]
    entries: Mapping[int, EntryRow]
    workers: Mapping[int, str]
    photos: Mapping[int, tuple[Hung, ...]]
    total: int
    removed: int
    page: int
    pages: int


def page_of(session: Session, project_id: int, page: int = 1, *, removed: bool = False) -> NotesPage:
    """A page of a project's notes, or of those taken out; a page past the last is the last.

    A constant number of statements.

    Raises:
        MissingReference: no such project.
    """
    project = project_records.get_project(session, project_id)
    there, gone = records.counts_of(session, project_id)
    pages = max(-(-(gone if removed else there) // PAGE), 1)
    here = min(max(page, 1), pages)
    found = records.page_of(session, project_id, removed=removed, most=PAGE, after=PAGE * (here - 1))
    return NotesPage(
        project=project,
        notes=found,
        entries=records.entries_of(session, [one.entry_id for one in found if one.entry_id is not None]),
        workers=devices.all_workers(session),
        photos=photos.of_notes(session, [one.id for one in found]),
        total=there,
        removed=gone,
        page=here,
        pages=pages,
    )


def one(session: Session, project_id: int, note_id: int) -> NoteRow:
    """A note of a project, taken out or not.

    Raises:
        MissingReference: there is none; an address with a note of another job leads nowhere.
    """
    row = records.get_note(session, note_id)
    if row.project_id != project_id:
        raise MissingReference("note", str(note_id), [])
    return row


def put(
    session: Session, project_id: int, wanted: Wanted, *, sent: Sending, stored: tuple[PhotoDraft, ...] = ()
) -> NoteRow | None:
    """Write a note; None when this form was sent before. `stored`: photos to hang on it, on the disk already.

    Raises:
        BadInput: neither words nor a photo, tomorrow, or a time entry of another project.
    """
    if sent.before(session):
        return None
    project_records.get_project(session, project_id)
    draft = _draft(session, project_id, wanted, sent, pictured=bool(stored))
    row = records.add_note(session, draft, now=sent.now)
    photos.hang_on_note(session, stored, row.id, now=sent.now)  # they go and come back with the note
    acts.add_act(session, sent.key, "The note is kept", [{"do": "no_note", "id": row.id}], now=sent.now)
    return row


def change(
    session: Session,
    note_id: int,
    wanted: Wanted,
    *,
    read_version: int,
    sent: Sending,
    stored: tuple[PhotoDraft, ...] = (),
) -> NoteRow | None:
    """Change a note; None when this form was sent before. `stored`: photos to hang on it besides, on the disk already.

    One that was taken out, and is changed by somebody who saw that, is there again.

    Raises:
        BadInput: as for `put`.
        Conflict: somebody else changed it since `read_version`, or took it out.
    """
    if sent.before(session):
        return None
    before = records.get_note(session, note_id)
    pictured = bool(stored or photos.of_notes(session, [note_id]))
    draft = _draft(session, before.project_id, wanted, sent, pictured=pictured)
    changes = {name: getattr(draft, name) for name in _WRITTEN} | {"removed_at": None}
    after = records.change_note(session, note_id, changes, read_version=read_version, now=sent.now)
    step = change_step(before, after, changes)
    steps = [*([step] if step else []), *photos.hang_on_note(session, stored, note_id, now=sent.now)]
    if steps:
        acts.add_act(session, sent.key, "The note is changed", steps, now=sent.now)
    return after


def remove(session: Session, note_id: int, *, sent: Sending) -> None:
    """Take a note out; it is put back by undo, or from the list of those taken out."""
    row = records.get_note(session, note_id)
    if not sent.before(session) and row.removed_at is None:
        _move(session, row, {"removed_at": sent.now}, "The note is taken out", sent)


def put_back(session: Session, note_id: int, *, sent: Sending) -> None:
    """Put a note back that was taken out."""
    row = records.get_note(session, note_id)
    if not sent.before(session) and row.removed_at is not None:
        _move(session, row, {"removed_at": None}, "The note is put back", sent)


_WRITTEN = ("text", "day", "operation", "stage", "entry_id", "worker_id")


def _move(session: Session, before: NoteRow, changes: Mapping[str, object], said: str, sent: Sending) -> None:
    after = records.change_note(session, before.id, changes, now=sent.now)
    step: Step | None = change_step(before, after, changes)
    acts.add_act(session, sent.key, said, [step] if step else [], now=sent.now)


def _draft(session: Session, project_id: int, wanted: Wanted, sent: Sending, *, pictured: bool) -> records.NoteDraft:
    text = wanted.text.replace("\r\n", "\n").strip()
    if not text and not pictured:
        raise BadInput("text", "", "some words, or a photo")
    if wanted.day > sent.today:
        raise BadInput("day", f"{wanted.day:%d %b %Y}", "a day that has been")
    if wanted.entry_id is not None and logbook.get_any(session, wanted.entry_id).project_id != project_id:
        raise MissingReference("time entry", str(wanted.entry_id), [])
    return records.NoteDraft(
        project_id=project_id,
        day=wanted.day,
        text=text,
        operation=wanted.operation,
        stage=wanted.stage,
        entry_id=wanted.entry_id,
        worker_id=wanted.worker_id,
    )
