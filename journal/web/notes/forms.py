"""The forms of a note and of the search."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wtforms.validators import InputRequired

from journal import reference
from journal.desk.note_words import LONGEST_WORDS
from journal.desk.notes import LONGEST, Wanted
from journal.web import forms
from journal.web.photo_field import PhotosField
from journal.web.work_choice import OPERATION, STAGE, read_work, work_choices

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.desk.bench import Choice
    from journal.pace.model import Book
    from journal.records.queries.notes import NoteRow

ENTRY = "e"  # about a time entry
_LONGEST_ID = 9
_ALL, _NOBODY = "", ""


class NoteForm(forms.JournalForm):
    """A note, new or changed."""

    text = forms.NoteField("What to remember", longest=LONGEST)
    about = forms.SelectField("About")
    day = forms.DateField("Day", validators=[InputRequired("Fill this in.")])
    worker = forms.SelectField("Who")
    photos = PhotosField()
    version = forms.VersionField()

    def offer(
        self,
        choice: Choice,
        workers: Sequence[tuple[int, str]],
        *,
        book: Book,
        entry: tuple[int, str] | None = None,
        kept: NoteRow | None = None,
    ) -> NoteForm:
        """The form with its choices; `entry`: the time entry it is about; `kept`: the note as it stands."""
        listed = [forms.SelectChoice(_ALL, "the whole project")]
        if entry:
            listed.append(forms.SelectChoice(f"{ENTRY}:{entry[0]}", f"the time entry: {entry[1]}"))
        planned = {stage.code: stage.operations for stage in choice.planned}
        if kept and kept.operation in book:
            own = book[kept.operation]
            there = planned.get(own.stage, ())
            if kept.operation not in dict(there):
                planned[own.stage] = (*there, (kept.operation, own.name))
        for code, stage in reference.stages().items():
            listed.append(forms.SelectChoice(f"{STAGE}:{code}", f"{stage.name}, the stage", optgroup=stage.name))
            listed += [
                forms.SelectChoice(f"{OPERATION}:{key}", name, optgroup=stage.name)
                for key, name in planned.get(code, ())
            ]
        self.about.choices = listed
        self.worker.choices = [forms.SelectChoice(_NOBODY, "nobody named")] + [
            forms.SelectChoice(str(key), label) for key, label in workers
        ]
        return self

    def fill(self, row: NoteRow) -> None:
        """The note as it stands."""
        self.text.data, self.day.data, self.version.data = row.text, row.day, row.version
        self.about.data = about_of(row)
        self.worker.data = _NOBODY if row.worker_id is None else str(row.worker_id)

    def wanted(self) -> Wanted:
        """What was written."""
        about = self.about.data or _ALL
        entry_id = entry_in(about)
        task = read_work(about, None) if about and entry_id is None else None
        return Wanted(
            text=self.text.data,
            day=self.day.data,
            operation=task.code if task and not task.by_stage else None,
            stage=task.code if task and task.by_stage else None,
            entry_id=entry_id,
            worker_id=int(self.worker.data) if self.worker.data else None,
        )


class SearchForm(forms.JournalForm):
    """What to look for; by GET."""

    q = forms.TextField("Words", required=False, longest=LONGEST_WORDS)
    work = forms.SelectField("Work", validate_choice=False)

    class Meta:
        csrf = False

    def offer(self) -> SearchForm:
        """The form with its choices."""
        self.work.choices = [forms.SelectChoice(_ALL, "all work"), *work_choices()]
        return self


def about_of(row: NoteRow) -> str:
    """What a note is about, as the choices name it."""
    if row.entry_id is not None:
        return f"{ENTRY}:{row.entry_id}"
    if row.operation is not None:
        return f"{OPERATION}:{row.operation}"
    return f"{STAGE}:{row.stage}" if row.stage is not None else _ALL


def entry_in(about: str) -> int | None:
    """The time entry that a choice names; None when it names none."""
    kind, _, number = about.partition(":")
    named = kind == ENTRY and number.isascii() and number.isdecimal() and len(number) <= _LONGEST_ID
    return int(number) if named else None
