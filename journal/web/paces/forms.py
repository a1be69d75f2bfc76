"""The forms of the Paces section."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from flask_wtf.file import FileField
from wtforms import TextAreaField, ValidationError

from journal import reference
from journal.desk.behind import LONGEST_REASON
from journal.pace.own import LONGEST, LONGEST_UNIT, Typed
from journal.web import forms

if TYPE_CHECKING:
    from wtforms import Field

_MOST_QUANTITY, _MOST_SETUPS = Decimal(1_000_000), 10_000


class ReasonForm(forms.JournalForm):
    """Why an entry is set aside."""

    reason = forms.TextField("Why it should teach nothing", longest=LONGEST_REASON)


class QuantityForm(forms.JournalForm):
    """How much of an operation was done; `setups` counts trips, adjustments or the like."""

    quantity = forms.NumberField("How much", at_least=Decimal(0), at_most=_MOST_QUANTITY)
    setups = forms.CountField("Set-ups", at_least=0, at_most=_MOST_SETUPS)


class SetupsForm(forms.JournalForm):
    """How often an operation that is counted by its set-ups alone was done."""

    setups = forms.CountField("How often", at_least=1, at_most=_MOST_SETUPS)


class OwnForm(forms.JournalForm):
    """An operation the book does not know; the boxes are named as `journal.pace.own` refuses them."""

    name = forms.TextField("Name", longest=LONGEST)
    stage = forms.SelectField("Stage")
    driver = forms.TextField("What is counted", longest=LONGEST, description="Such as marks burnt, or feet of inlay.")
    unit = forms.TextField("One of it", longest=LONGEST_UNIT, description="mark, ft, m², h …")
    pace = forms.NumberField("Minutes for one", description="A guess will do; the logs take over.")
    setup = forms.NumberField("Minutes for a set-up", required=False, at_least=Decimal(0))

    def offer(self) -> OwnForm:
        self.stage.choices = [forms.SelectChoice(code, stage.name) for code, stage in reference.stages().items()]
        return self

    def typed(self) -> Typed:
        """What was typed."""
        setup, pace = float(self.setup.data or 0), float(self.pace.data)
        return Typed(self.name.data, self.stage.data, self.driver.data, self.unit.data, setup, pace)


class UploadForm(forms.JournalForm):
    """A spreadsheet of past jobs, as a file or pasted."""

    file = FileField("The spreadsheet", description="A workbook (.xlsx), CSV or tab-separated text; at most 16 MB.")
    # A tab at either end is an empty cell, so only empty lines are taken off.
    text = TextAreaField(
        "Or its cells, pasted",
        filters=[lambda text: (text or "").strip("\r\n")],
        description="With the headings, straight from the spreadsheet.",
    )

    def validate_file(self, field: Field) -> None:
        given = bool(field.data and field.data.filename)
        if given and self.text.data:
            raise ValidationError("There are pasted cells too; send one or the other.")
        if not given and not self.text.data:
            raise ValidationError("Choose a file, or paste its cells below.")
