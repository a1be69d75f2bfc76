"""The form of a coat."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from wtforms import HiddenField, SelectMultipleField, TimeField
from wtforms.validators import InputRequired
from wtforms.validators import Optional as Maybe
from wtforms.widgets import CheckboxInput, ListWidget

from journal import reference
from journal.desk.coating import MOST_COATS, Wanted, stamp
from journal.desk.glue_clock import COLDEST_C, HOTTEST_C
from journal.web import forms
from journal.web.measures import AreaField, TemperatureField

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import tzinfo

    from journal.records.queries.floor import CoatRow

_MOST_ML = 200_000.0
_MOST_MM2 = 1_000_000_000  # a thousand square metres


class CoatForm(forms.JournalForm):
    """One coat, new or put right."""

    finish = forms.SelectField("Finish")
    coat = forms.CountField("Coat", at_least=1, at_most=MOST_COATS, description="1 is the first, the thirsty one.")
    amount_used = forms.LiquidField("Amount used", required=False, at_least=0.1, at_most=_MOST_ML)
    level_before = forms.LiquidField("In the container before", required=False, at_least=0.0, at_most=_MOST_ML)
    level_after = forms.LiquidField("In the container after", required=False, at_least=0.0, at_most=_MOST_ML)
    parts = SelectMultipleField(
        "Parts", option_widget=CheckboxInput(), widget=ListWidget(prefix_label=False), validate_choice=True
    )
    area = AreaField("Or an area", required=False, at_most=_MOST_MM2)
    on_date = forms.DateField("Day", validators=[InputRequired("Fill this in.")])
    at = TimeField("It was on at", validators=[Maybe()])
    temperature = TemperatureField("Temperature", required=False, at_least=COLDEST_C, at_most=HOTTEST_C)
    humidity = forms.MeterField("Humidity", what="the humidity", example="60", required=False)
    note = forms.NoteField("Note", longest=2000)
    seen = HiddenField("Stamp")

    def offer(self, parts: Sequence[str]) -> CoatForm:
        """The form with its choices."""
        self.finish.choices = [forms.SelectChoice(key, one.name) for key, one in reference.finishes().items()]
        self.parts.choices = [(label, label) for label in parts]
        return self

    def fill(self, row: CoatRow, zone: tzinfo) -> None:
        """The coat as it stands."""
        self.seen.data = stamp(row)
        self.finish.data, self.coat.data, self.on_date.data, self.note.data = (
            row.finish,
            row.coat,
            row.on_date,
            row.note,
        )
        self.amount_used.data, self.temperature.data = row.amount_ml, row.temperature_c
        self.humidity.data = None if row.humidity_pct is None else Decimal(repr(row.humidity_pct))
        self.parts.data = row.parts.split("\n") if row.parts else []
        self.area.data = None if row.parts else row.area_mm2
        self.at.data = row.at.astimezone(zone).time() if row.at else None

    def wanted(self) -> Wanted:
        """What was told."""
        return Wanted(
            finish=self.finish.data,
            coat=self.coat.data,
            on_date=self.on_date.data,
            parts=tuple(self.parts.data or ()),
            area_mm2=self.area.data,
            amount_ml=self.amount_used.data,
            before_ml=self.level_before.data,
            after_ml=self.level_after.data,
            at=self.at.data,
            temperature_c=self.temperature.data,
            humidity_pct=None if self.humidity.data is None else float(self.humidity.data),
            note=self.note.data,
        )
