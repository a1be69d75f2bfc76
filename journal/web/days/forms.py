"""The day it starts, what the client brings, how likely it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wtforms import SelectMultipleField, widgets

from journal.web import forms

if TYPE_CHECKING:
    from collections.abc import Sequence


class StartForm(forms.JournalForm):
    """The day from which the weeks are counted; sent by GET, so that its answer can be kept as an address."""

    class Meta:
        csrf = False

    start = forms.DateField(
        "Deposit, agreed drawing and hardware in hand on", validators=[forms.Required()], description="From today on"
    )


class LikelyForm(forms.JournalForm):
    """How likely this enquiry or quote is to come."""

    likely = forms.CountField(
        "How likely is it to come?",
        required=False,
        at_least=0,
        at_most=100,
        description="Work asked for later gives way to it so many times in a hundred",
    )


class BroughtForm(forms.JournalForm):
    """The hardware that the client brings."""

    brought = SelectMultipleField(
        "The client brings", option_widget=widgets.CheckboxInput(), widget=widgets.ListWidget(prefix_label=False)
    )

    @classmethod
    def of(cls, choices: Sequence[tuple[str, str]], chosen: Sequence[str]) -> BroughtForm:
        """The form for the hardware of a project, as kept or as sent."""
        form = cls(brought=list(chosen))
        form.brought.choices = list(choices)
        return form
