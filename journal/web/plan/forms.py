"""The forms of the Plan section."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wtforms import HiddenField

from journal import reference, units
from journal.build.handling import Stairs
from journal.build.step_edits import MOST_MINUTES
from journal.desk.what_if import MOST_CLAMPS, Change
from journal.records.queries.building import EditDraft, ReadingDraft
from journal.records.words import EditKind
from journal.web import forms

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.build.step import Step, StepPlan

_NO_STEP = ""


class GetForm(forms.JournalForm):
    """A form whose address says what was asked: nothing is kept, so nothing needs guarding."""

    class Meta:
        """Changes nothing, so it needs no mark of ours."""

        csrf = False


class WhatIfForm(GetForm):
    """What is tried on the glue-ups."""

    asked = HiddenField(default="1")
    clamps = forms.CountField(
        "More clamps", required=False, at_least=-MOST_CLAMPS, at_most=MOST_CLAMPS, description="−2 for two fewer."
    )
    adhesive = forms.SelectField("Another glue", default="")
    planer = forms.LengthField("A planer this wide", required=False, at_most=units.feet(10))
    hands = forms.CountField("More people", required=False, at_least=0, at_most=3)

    def offer(self, adhesive: str) -> None:
        """The classes of glue there are; `adhesive` is the one in use."""
        known = reference.adhesives()
        same = forms.SelectChoice("", f"the same: {known[adhesive].name}")
        others = [forms.SelectChoice(key, glue.name) for key, glue in known.items() if key != adhesive]
        self.adhesive.choices = [same, *others]

    def change(self) -> Change:
        """What the boxes say."""
        return Change(
            clamps=self.clamps.data or 0,
            adhesive=self.adhesive.data or "",
            planer_nm=self.planer.data,
            hands=self.hands.data or 0,
        )


class WayInForm(GetForm):
    """A door and stairs, and the size of what goes through."""

    carried = HiddenField(default="1")
    length = forms.LengthField("Bench length", required=False)
    depth = forms.LengthField("Bench depth", required=False)
    height = forms.LengthField("Bench height", required=False)
    door_width = forms.LengthField("Door, clear width", required=False)
    door_height = forms.LengthField("Door, clear height", required=False)
    stairs_width = forms.LengthField("Stairs, clear width", required=False)
    headroom = forms.LengthField("Stairs, headroom", required=False)
    landing = forms.LengthField(
        "Landing, depth", required=False, description="Where the stairs turn; left empty, they run straight."
    )

    def validate(self, extra_validators: object = None) -> bool:
        """Besides each box: sizes that only make sense together are there together."""
        good = super().validate(extra_validators)
        groups = (
            (self.length, self.depth, self.height),
            (self.door_width, self.door_height),
            (self.stairs_width, self.headroom),
        )
        for group in groups:
            if any(box.data for box in group):
                for box in group:
                    if box.data is None and not box.errors:
                        box.errors = [*box.errors, "Fill this in too."]
                        good = False
        if self.landing.data and not self.stairs_width.data:
            self.stairs_width.errors = [*self.stairs_width.errors, "Fill this in too."]
            good = False
        return good

    def bench_nm(self) -> tuple[int, int, int] | None:
        """Length, depth and height, where they were typed."""
        sizes = self.length.data, self.depth.data, self.height.data
        return sizes if all(sizes) else None

    def door_nm(self) -> tuple[int, int] | None:
        """Width and height, where they were typed."""
        sizes = self.door_width.data, self.door_height.data
        return sizes if all(sizes) else None

    def stairs(self) -> Stairs | None:
        """The stairs, where they were typed."""
        if not self.stairs_width.data:
            return None
        return Stairs(self.stairs_width.data, self.headroom.data, self.landing.data or 0)


class StepForm(forms.JournalForm):
    """A button about one step."""

    step = HiddenField("Step")


class NoteForm(StepForm):
    """A note on a step."""

    text = forms.TextField("Note", longest=1_000)

    def draft(self) -> EditDraft:
        """The change it asks for."""
        return EditDraft(kind=EditKind.NOTE, step_key=self.step.data, text=self.text.data)


class MoveForm(StepForm):
    """A step put after another one."""

    after = forms.SelectField("Put it after")

    def offer(self, plan: StepPlan, key: str) -> None:
        """The other steps of the plan."""
        self.after.choices = after_choices([step for step in plan.steps if step.key != key])

    def draft(self) -> EditDraft:
        """The change it asks for."""
        return EditDraft(kind=EditKind.MOVE, step_key=self.step.data, after_key=self.after.data)


class SplitForm(StepForm):
    """A share of a step made one of its own."""

    text = forms.TextField("What the second part is called")
    share = forms.PercentField("Its share of the step, %", at_most=99)

    def validate(self, extra_validators: object = None) -> bool:
        """Besides each box: a share that leaves something on both sides."""
        good = super().validate(extra_validators)
        if self.share.data is not None and not self.share.errors and not 0 < self.share.data < 1:
            self.share.errors = [*self.share.errors, "Expected more than 0 % and less than 100 %."]
            good = False
        return good

    def draft(self) -> EditDraft:
        """The change it asks for."""
        return EditDraft(
            kind=EditKind.SPLIT, step_key=self.step.data, text=self.text.data, share=float(self.share.data)
        )


class AddForm(forms.JournalForm):
    """A step of the maker's own."""

    title = forms.TextField("What is to be done")
    stage = forms.SelectField("Stage")
    minutes = forms.DurationField(
        "How long, all people together", at_most=MOST_MINUTES * 60, allow_long=True, description="1 h 30, or 90 min."
    )
    after = forms.SelectField("After which step")
    note = forms.TextField("Note", required=False, longest=1_000)

    def offer(self, plan: StepPlan) -> None:
        """The stages of the book and the steps of the plan."""
        self.stage.choices = [forms.SelectChoice(code, stage.name) for code, stage in reference.stages().items()]
        self.after.choices = after_choices(plan.steps)

    def draft(self) -> EditDraft:
        """The change it asks for."""
        return EditDraft(
            kind=EditKind.ADD,
            step_key="own:",  # the desk gives it one of its own
            after_key=self.after.data,
            text=self.title.data,
            minutes=self.minutes.data / 60,
            stage=self.stage.data,
            note=self.note.data,
        )


class ReadingForm(forms.JournalForm):
    """A moisture reading."""

    on = forms.DateField("Read on", validators=[forms.Required()])
    moisture = forms.MeterField("Moisture, %", what="the moisture", example="9.5")
    place = forms.TextField("Where", required=False, description="Third board, middle.")

    def draft(self) -> ReadingDraft:
        """The reading."""
        return ReadingDraft(on_date=self.on.data, moisture_pct=float(self.moisture.data), place=self.place.data)


class StackForm(forms.JournalForm):
    """Since when the lumber is in stickers."""

    since = forms.DateField("In stickers since", validators=[forms.Required()])


def after_choices(steps: Sequence[Step]) -> list[forms.SelectChoice]:
    """Steps to put something after, the beginning first."""
    return [forms.SelectChoice(_NO_STEP, "at the beginning"), *(forms.SelectChoice(s.key, s.title) for s in steps)]
