"""What the templates of the notes receive."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import url_for

from journal import units
from journal.desk.log_view import task_of
from journal.desk.note_search import Kind
from journal.desk.taps import name_of
from journal.floor.taps import Task
from journal.web import filters, state

if TYPE_CHECKING:
    from collections.abc import Mapping

    from journal.desk.note_search import Found, Hit, Text
    from journal.desk.notes import NotesPage
    from journal.desk.photos import Hung, Wall
    from journal.records.queries.acts import ActRow
    from journal.records.queries.log import EntryRow
    from journal.records.queries.notes import NoteRow
    from journal.records.queries.projects import ProjectRow
    from journal.web.notes.forms import NoteForm, SearchForm

_WHERE = {Kind.NOTE: "", Kind.ENTRY: "time", Kind.COAT: "coat", Kind.LESSON: "lesson", Kind.PROJECT: "project"}


@dataclass(frozen=True, slots=True)
class NoteLine:
    """A note with its photos, what it is about and who wrote it, in words; empty: the whole project, nobody named."""

    note: NoteRow
    about: str
    who: str
    photos: tuple[Hung, ...] = ()


@dataclass(frozen=True, slots=True)
class ListPage:
    """What notes/index.html receives.

    Attributes:
        found: the notes of this page.
        lines: the same with their words.
        form: a new note.
        writing: the form stands open.
        removed: those that were taken out are shown.
        newer, older: addresses of the pages beside it.
        last: what was last done.
    """

    found: NotesPage
    lines: tuple[NoteLine, ...]
    form: NoteForm
    writing: bool
    removed: bool
    newer: str | None
    older: str | None
    last: ActRow | None


@dataclass(frozen=True, slots=True)
class OnePage:
    """What notes/one.html receives.

    Attributes:
        project: whose.
        line: the note as it stands.
        form: it, to be changed.
        wall: its photos.
        conflict: somebody else changed it since the form was opened.
    """

    project: ProjectRow
    line: NoteLine
    form: NoteForm
    wall: Wall
    conflict: bool = False


@dataclass(frozen=True, slots=True)
class HitLine:
    """What was found, with the work it is about, where it was written, and where that is to be seen."""

    hit: Hit
    work: str
    where: str
    url: str


@dataclass(frozen=True, slots=True)
class SearchPage:
    """What notes/search.html receives.

    Attributes:
        found: the hits of this page.
        lines: the same with their words.
        form: what was asked for.
        narrowed: the address of the same words in all work; None when no work was chosen.
        newer, older: addresses of the pages beside it.
    """

    found: Found
    lines: tuple[HitLine, ...]
    form: SearchForm
    narrowed: str | None
    newer: str | None
    older: str | None


def note_line(
    row: NoteRow, entries: Mapping[int, EntryRow], workers: Mapping[int, str], hung: tuple[Hung, ...] = ()
) -> NoteLine:
    """A note in words."""
    about = ""
    if row.entry_id is not None:
        about = entry_said(entries[row.entry_id])
    elif code := row.operation or row.stage:
        about = name_of(Task(row.project_id, code, by_stage=row.operation is None), state.book())
    return NoteLine(row, about, workers.get(row.worker_id, "") if row.worker_id is not None else "", hung)


def entry_said(row: EntryRow) -> str:
    """A time entry in a few words."""
    spent = units.format_minutes(row.seconds / 60)
    return f"{name_of(task_of(row), state.book())}, {spent} on {filters.day(row.on_date)}"


def hit_line(hit: Hit) -> HitLine:
    """What was found, in words."""
    text = hit.text
    task = Task(text.project_id, text.code, by_stage=text.by_stage) if text.code else None
    return HitLine(hit, name_of(task, state.book()) if task else "", _WHERE[text.kind], _address(text))


def _address(text: Text) -> str:
    project = text.project_id
    if text.kind is Kind.NOTE:
        return url_for("notes.one", project_id=project, note_id=text.id)
    if text.kind is Kind.COAT:
        return url_for("coats.one", project_id=project, coat_id=text.id)
    if text.kind is Kind.PROJECT:
        return url_for("projects.edit", project_id=project)
    if text.kind is Kind.LESSON:
        return url_for("review.show", project_id=project, _anchor="lessons")
    if project is None:  # the shop's own time stands in the evening entry alone
        return url_for("today.evening", day=text.day.isoformat())
    return url_for("log.show_entry", project_id=project, entry_id=text.id)
