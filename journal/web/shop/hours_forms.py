"""The shop's hours, days off, places and what hardware takes."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from wtforms import HiddenField

from journal.days.hours import DAYS
from journal.web import forms

if TYPE_CHECKING:
    from datetime import date

    from journal.desk.hours import HoursSheet


class HoursForm(forms.JournalForm):
    """Seven days, the places, and a box for every piece of hardware (added for each shop)."""

    stamp = HiddenField()
    places = forms.CountField(
        "Places for what stands in clamps or dries",
        required=False,
        at_least=1,
        at_most=200,
        description="Blank: there is always room",
    )
    lead_ids: tuple[int, ...] = ()

    def days(self) -> list[str]:
        """The hours as typed, Monday first."""
        return [str(self[f"day{weekday}"].data or "") for weekday in range(7)]

    def leads(self) -> dict[int, int | None]:
        """Days until hardware is in hand, by id; None: the usual."""
        return {item: self[f"lead{item}"].data for item in self.lead_ids}


class DaysOffForm(forms.JournalForm):
    """Some days off."""

    first = forms.DateField("From", validators=[forms.Required()])
    last = forms.DateField("To, that day included", validators=[forms.Required()])
    why = forms.TextField("What for", required=False)


class ReopenForm(forms.JournalForm):
    """Takes days off away; nothing but the mark that only our pages have."""


def hours_form(sheet: HoursSheet) -> HoursForm:
    """The form filled in with what is kept, or with what was sent."""
    boxes: dict[str, object] = {
        f"day{weekday}": forms.TextField(name, required=False) for weekday, name in enumerate(DAYS)
    }
    boxes |= {
        f"lead{lead.item_id}": forms.CountField(lead.code, required=False, at_least=0, at_most=730)
        for lead in sheet.leads
    }
    made = type("ShopHoursForm", (HoursForm,), {"lead_ids": tuple(lead.item_id for lead in sheet.leads), **boxes})
    kept = {f"day{weekday}": hours for weekday, hours in enumerate(sheet.days)}
    kept |= {f"lead{lead.item_id}": lead.lead_days for lead in sheet.leads}
    return made(stamp=sheet.stamp, data={**kept, "places": sheet.places})  # type: ignore[no-any-return]


def days_off_form(today: date) -> DaysOffForm:
    """The form for more days off, tomorrow to start with."""
    tomorrow = today + timedelta(days=1)
    return DaysOffForm(first=tomorrow, last=tomorrow)
