"""The forms of the log."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from wtforms import HiddenField, TimeField
from wtforms.validators import InputRequired
from wtforms.validators import Optional as Maybe

from journal import reference
from journal.desk.logging import Wanted
from journal.floor.hours import read_hours, show_hours
from journal.floor.taps import Task
from journal.web import forms
from journal.web.state import display
from journal.web.work_choice import read_work, work_choices, work_value

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import tzinfo

    from journal.pace.model import Book
    from journal.records.queries.devices import WorkerRow
    from journal.records.queries.log import EntryRow

NOBODY = ""
MOST_PARTS = 4


class HoursField(forms.ParsedField[int]):
    """Seconds, typed as hours: 2, 1.5, 1:30, 45 min."""

    def parse(self, text: str) -> int:
        return read_hours(text, self.label.text, mark=display().mark)

    def show(self, value: int) -> str:
        return show_hours(value)


class EntryForm(forms.JournalForm):
    """One entry, new or corrected."""

    work = forms.SelectField("Work")
    on_date = forms.DateField("Day", validators=[InputRequired("Fill this in.")])
    hours = HoursField("Hours", description="2, 1.5, 1:30 or 45 min", at_least=1)
    start = TimeField("Began at", validators=[Maybe()])
    people = forms.CountField("People at once", at_least=1, at_most=50, default=1)
    worker = forms.SelectField("Who")
    rework = forms.BooleanField("Done again")
    aside = forms.TextField(
        "Set aside, because", required=False, description="Its hours count; nothing is learned from it."
    )
    note = forms.NoteField("Note", longest=2000)
    why = forms.TextField("Why it is corrected", required=False)
    seen = HiddenField("Stamp")

    def offer(self, workers: Sequence[WorkerRow], *, kept: WorkerRow | None = None) -> EntryForm:
        """The form with its choices; `kept`: a person who is no longer at the bench but was."""
        self.work.choices = work_choices()
        listed = [*workers, *([kept] if kept and kept.id not in {one.id for one in workers} else [])]
        self.worker.choices = [forms.SelectChoice(NOBODY, "nobody named")] + [
            forms.SelectChoice(str(one.id), one.label) for one in listed
        ]
        return self

    def fill(self, row: EntryRow, stamp: str, zone: tzinfo) -> None:
        """The entry as it stands."""
        self.work.data = work_value(
            Task(row.project_id, row.operation or row.stage or "", by_stage=row.operation is None)
        )
        self.on_date.data, self.hours.data, self.people.data = row.on_date, row.seconds, row.people
        local = row.started_at.astimezone(zone) if row.started_at else None
        self.start.data = local.time().replace(second=0, microsecond=0) if local else None
        self.worker.data = NOBODY if row.worker_id is None else str(row.worker_id)
        self.rework.data, self.aside.data, self.note.data = row.rework, row.set_aside_reason or "", row.note
        self.seen.data = stamp

    def wanted(self, project_id: int | None) -> Wanted:
        """What was asked for."""
        return Wanted(
            task=read_work(self.work.data, project_id),
            on_date=self.on_date.data,
            seconds=self.hours.data or 0,
            start=self.start.data,
            people=self.people.data or 1,
            worker_id=int(self.worker.data) if self.worker.data else None,
            rework=self.rework.data,
            aside=self.aside.data,
            note=self.note.data,
        )


class PartForm(forms.JournalForm):
    """Some of an entry given to other work."""

    work = forms.SelectField("Work")
    hours = HoursField("Hours", required=False)

    class Meta:
        csrf = False  # stands within the form of the split, which has the mark


class SplitForm(forms.JournalForm):
    """The stamp of the entry that is split."""

    seen = HiddenField("Stamp")


class ReasonForm(forms.JournalForm):
    """Why an entry is removed."""

    reason = forms.TextField("Why")


class SoughtForm(forms.JournalForm):
    """What to look for in the log; by GET."""

    stage = forms.SelectField("Stage")
    words = forms.TextField("Note says", required=False)
    removed = forms.BooleanField("Removed ones")

    class Meta:
        csrf = False

    def offer(self) -> SoughtForm:
        self.stage.choices = [forms.SelectChoice("", "all stages")] + [
            forms.SelectChoice(code, stage.name) for code, stage in reference.stages().items()
        ]
        return self


class AmountForm(forms.JournalForm):
    """How much of an operation was built."""

    operation = forms.SelectField("Operation")
    quantity = forms.NumberField("How much", at_least=Decimal(0))

    def offer(self, book: Book) -> AmountForm:
        self.operation.choices = [
            forms.SelectChoice(code, f"{entry.name}, {entry.unit}") for code, entry in book.items()
        ]
        return self
