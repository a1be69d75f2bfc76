"""The forms of the Paces section."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from flask_wtf.file import FileField
from wtforms import TextAreaField, ValidationError

from journal.desk.behind import LONGEST_REASON
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
