"""The forms of the glue-up clock."""

from __future__ import annotations

from typing import TYPE_CHECKING, Self

from wtforms import HiddenField

from journal.desk.glue_clock import COLDEST_C, HOTTEST_C
from journal.desk.glue_told import Told, stamp
from journal.web import forms
from journal.web.measures import TemperatureField

if TYPE_CHECKING:
    from journal.records.queries.floor import GlueUpRow

_MOST_STRIPS = 500
_LONGEST_SECONDS = 24 * 3600


class BeginForm(forms.JournalForm):
    """How warm it is."""

    temperature = TemperatureField("Temperature in the shop", at_least=COLDEST_C, at_most=HOTTEST_C)


class ToldForm(forms.JournalForm):
    """What it really was."""

    glue = forms.LiquidField(
        "Glue used", required=False, at_least=0.1, at_most=100_000.0, description="8 fl oz, 250 ml"
    )
    strips = forms.CountField("Strips", at_least=2, at_most=_MOST_STRIPS)
    spread = forms.DurationField("Spreading", at_least=1, at_most=_LONGEST_SECONDS, description="From the first glue.")
    assembly = forms.DurationField(
        "First glue to last clamp", at_least=1, at_most=_LONGEST_SECONDS, description="Spreading is part of it."
    )
    clamps = forms.CountField("Clamps", required=False, at_least=0, at_most=_MOST_STRIPS)
    seen = HiddenField("Stamp")

    @classmethod
    def of(cls, kept: GlueUpRow) -> Self:
        """Filled in with what is kept."""
        form = cls(formdata=None)
        form.glue.data, form.strips.data, form.clamps.data = kept.glue_ml, kept.strips, kept.clamps
        form.spread.data, form.assembly.data = kept.spread_seconds, kept.assembly_seconds
        form.seen.data = stamp(kept)
        return form

    def told(self) -> Told:
        """What was told."""
        return Told(self.strips.data, self.glue.data, self.spread.data, self.assembly.data, self.clamps.data)
