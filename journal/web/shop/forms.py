"""The shop's own data, its allowances, its machines."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, ClassVar
from zoneinfo import available_timezones

from wtforms import HiddenField, ValidationError

from journal import reference, units
from journal.records.words import LengthSystem
from journal.web import forms
from journal.web.state import display, pointed

if TYPE_CHECKING:
    from journal.desk.settings import Setting, SettingGroup
    from journal.records.queries.shop import MachineRow, ShopRow

_SAMPLE_DAY = date(2026, 11, 25)  # no part of it can be taken for another
_SAMPLE_NUMBER = "1,234.5"
_BASIS_POINTS = 10_000
_MILLIONTHS = 1_000_000
# What an allowance counts in, as it stands behind its box.
UNIT_WORDS = {
    "nm": "",
    "share": "%",
    "sd": "%",
    "pct": "%",
    "factor": "times",
    "count": "",
    "minutes": "min",
    "hours": "h",
    "days": "days",
    "F": "°F",
    "kg": "kg",
    "lb": "lb",
    "in2": "sq in",
}


class Steps:
    """Refuses a share finer than it can be kept."""

    def __init__(self, steps: int, expected: str) -> None:
        self.steps = steps
        self.expected = expected

    def __call__(self, _form: object, field: forms.PercentField) -> None:
        if field.data is not None and (field.data * self.steps).denominator != 1:
            raise ValidationError(f"Read {field.show(field.data)}, expected {self.expected}.")


class ZoneField(forms.TextField):
    """A time zone of the database, typed as its name or as the city in it; blank is the computer's."""

    def post_validate(self, form: object, validation_stopped: bool) -> None:  # noqa: ARG002, FBT001 - as wtforms calls it
        if self.data and (found := find_zone(self.data)):
            self.data = found
        elif self.data:
            raise ValidationError(f"Read “{self.data}”, expected a zone such as Europe/Berlin, or a city in the list.")


class ShopForm(forms.JournalForm):
    """The shop's own data."""

    version = HiddenField()
    wage = forms.AmountField(
        "Wage an hour", description="What an hour at the bench is to bring you, unpaid hours included"
    )
    overhead = forms.AmountField(
        "Overhead an hour", description="Rent, insurance, small tools; not the machines, no wages"
    )
    margin = forms.PercentField(
        "Margin",
        at_least=Fraction(0),
        at_most=Fraction(9999, 10_000),
        validators=[Steps(_BASIS_POINTS, "two decimals")],
    )
    confidence = forms.CountField("Certainty of a price", at_least=50, at_most=99)
    rounding = forms.AmountField("Round prices up to", at_least=1, description="The smallest step of a price")
    deposit = forms.PercentField(
        "Deposit", at_least=Fraction(0), at_most=Fraction(1), validators=[Steps(_BASIS_POINTS, "two decimals")]
    )
    tax = forms.PercentField(
        "Sales tax",
        at_least=Fraction(0),
        at_most=Fraction(999_999, _MILLIONTHS),
        validators=[Steps(_MILLIONTHS, "four decimals")],
    )
    hours = forms.NumberField("Hours a week", at_least=Decimal("0.1"), at_most=Decimal(168))
    people = forms.CountField("People", at_least=1, at_most=99)
    species = forms.SelectField("Usual wood")
    adhesive = forms.SelectField("Usual glue")
    finish = forms.SelectField("Usual finish")
    name = forms.TextField("Name")
    letterhead = forms.NoteField("Letterhead", description="Address and whatever else stands at the head of a quote")
    system = forms.SelectField(
        "Lengths",
        choices=[
            forms.SelectChoice(LengthSystem.INCH.value, "Inches"),
            forms.SelectChoice(LengthSystem.METRIC.value, "Millimetres"),
        ],
    )
    denominator = forms.SelectField(
        "Smallest fraction of an inch",
        coerce=int,
        choices=[forms.SelectChoice(n, f"1/{n}") for n in (2, 4, 8, 16, 32, 64)],
    )
    day_form = forms.SelectField(
        "Days",
        choices=[forms.SelectChoice(form.value, units.format_day(_SAMPLE_DAY, form)) for form in units.DayForm],
    )
    decimal_mark = forms.SelectField(
        "Decimals",
        choices=[forms.SelectChoice(mark.value, units.marked(_SAMPLE_NUMBER, mark)) for mark in units.Mark],
    )
    week_start = forms.SelectField(
        "Weeks begin on", choices=[forms.SelectChoice(day.value, day.value) for day in units.WeekStart]
    )
    currency = forms.SelectField("Money", description="Nothing is converted: amounts keep their numbers")
    time_zone = ZoneField(
        "Time zone",
        required=False,
        render_kw={"list": "zones"},
        description="Type a city, such as Chicago, or its zone; left blank it is this computer’s",
    )

    def __init__(self, woods: tuple[str, ...], *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.species.choices = [forms.SelectChoice(wood, wood) for wood in woods]
        self.adhesive.choices = [forms.SelectChoice(key, glue.name) for key, glue in reference.adhesives().items()]
        self.finish.choices = [forms.SelectChoice(key, finish.name) for key, finish in reference.finishes().items()]
        self.currency.choices = [
            forms.SelectChoice(one.code, f"{one.code}  {one.symbol}") for one in units.currencies()
        ]

    @classmethod
    def showing(cls, row: ShopRow, woods: tuple[str, ...]) -> ShopForm:
        """The form filled in with what is kept, or with what was sent."""
        return cls(
            tuple(dict.fromkeys((*woods, row.default_species))),
            version=row.version,
            wage=row.wage_cents_per_hour,
            overhead=row.overhead_cents_per_hour,
            margin=Fraction(row.margin_bp, _BASIS_POINTS),
            confidence=row.confidence_pct,
            rounding=row.rounding_cents,
            deposit=Fraction(row.deposit_bp, _BASIS_POINTS),
            tax=Fraction(row.tax_ppm, _MILLIONTHS),
            hours=Decimal(row.minutes_per_week) / 60,
            people=row.people,
            species=row.default_species,
            adhesive=row.default_adhesive,
            finish=row.default_finish,
            name=row.name,
            letterhead=row.letterhead,
            system=row.system.value,
            denominator=row.denominator,
            currency=row.currency,
            day_form=row.day_form.value,
            decimal_mark=row.decimal_mark.value,
            week_start=row.week_start.value,
            time_zone=row.time_zone if row.version else "",  # until it has spoken, it goes by the computer
        )

    def values(self) -> dict[str, object]:
        """The fields of a ShopRow; a version that is no number fits no stored state."""
        version = str(self.version.data)
        return {
            "version": int(version) if version.isdecimal() else -1,
            "wage_cents_per_hour": self.wage.data,
            "overhead_cents_per_hour": self.overhead.data,
            "margin_bp": int(self.margin.data * _BASIS_POINTS),
            "confidence_pct": self.confidence.data,
            "rounding_cents": self.rounding.data,
            "deposit_bp": int(self.deposit.data * _BASIS_POINTS),
            "tax_ppm": int(self.tax.data * _MILLIONTHS),
            "minutes_per_week": units.round_half_up(self.hours.data * 60),
            "people": self.people.data,
            "default_species": self.species.data,
            "default_adhesive": self.adhesive.data,
            "default_finish": self.finish.data,
            "name": self.name.data,
            "letterhead": self.letterhead.data,
            "system": LengthSystem(self.system.data),
            "denominator": self.denominator.data,
            "currency": self.currency.data,
            "day_form": units.DayForm(self.day_form.data),
            "decimal_mark": units.Mark(self.decimal_mark.data),
            "week_start": units.WeekStart(self.week_start.data),
            "time_zone": self.time_zone.data,
        }


class SettingsForm(forms.JournalForm):
    """A box for each allowance of a group; an empty one takes the starting value."""

    keys: ClassVar[tuple[str, ...]] = ()

    stamp = HiddenField()

    def texts(self, without: str = "") -> dict[str, str]:
        """What was typed, as the desk reads it; `without` goes back to its starting value."""
        return {key: "" if key == without else _text(self[key]) for key in self.keys}


class MachineForm(forms.JournalForm):
    """A machine on the floor."""

    stamp = HiddenField()
    kind = forms.SelectField("Kind")
    label = forms.TextField("Name", description="As you call it")
    width = forms.LengthField("Widest it takes", required=False)
    height = forms.LengthField("Thickest it takes", required=False)
    length = forms.LengthField("Shortest it takes", required=False)
    cost = forms.MoneyField(
        "Cost of a running hour", description="Wear, upkeep, power, blades; never also in the overhead"
    )
    active = forms.BooleanField("In use", default=True)

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.kind.choices = [forms.SelectChoice(kind, kind.capitalize()) for kind in reference.machines()]

    @classmethod
    def showing(cls, row: MachineRow | None, stamp: str) -> MachineForm:
        """The form filled in with a machine, empty for a new one, or with what was sent."""
        if row is None:
            return cls(stamp=stamp)
        return cls(
            stamp=stamp,
            kind=row.kind,
            label=row.label,
            width=row.max_width_nm,
            height=row.max_height_nm,
            length=row.min_length_nm,
            cost=row.cost_cents_per_hour,
            active=row.active,
        )

    def values(self) -> dict[str, object]:
        """The fields of a MachineRow."""
        return {
            "kind": self.kind.data,
            "label": self.label.data,
            "max_width_nm": self.width.data,
            "max_height_nm": self.height.data,
            "min_length_nm": self.length.data,
            "cost_cents_per_hour": self.cost.data,
            "active": self.active.data,
        }


def settings_form(group: SettingGroup) -> SettingsForm:
    """The form of a group, with the shop's own values in it, or with what was sent."""
    fields = {setting.entry.key: _field(setting) for setting in group.settings}
    form_class = type("SettingsForm", (SettingsForm,), {"keys": tuple(fields), **fields})
    return form_class(stamp=group.stamp, prefix=f"{group.group.key}-", data=_own(group))


@cache
def zones() -> tuple[str, ...]:
    """Time zones as the database names them, by part of the world."""
    elsewhere = {"Etc", "SystemV", "posix", "right"}
    named = (name for name in available_timezones() if "/" in name and name.partition("/")[0] not in elsewhere)
    return ("UTC", *sorted(named))


def find_zone(typed: str) -> str | None:
    """The zone of this name, or the only one whose city bears it; case and spaces do not matter."""
    wanted = typed.strip().replace(" ", "_").casefold()
    whole = [name for name in available_timezones() if name.casefold() == wanted]
    cities = [name for name in zones() if name.rpartition("/")[2].casefold() == wanted]
    found = whole or cities
    return found[0] if len(found) == 1 else None


def _own(group: SettingGroup) -> dict[str, object]:
    return {
        setting.entry.key: _as_typed(setting.own, setting.entry.unit)
        for setting in group.settings
        if setting.own is not None
    }


def _as_typed(value: float, unit: str) -> int | Decimal | Fraction:
    """A value of the tables as its field holds it."""
    if unit in {"nm", "count"}:
        return int(value)
    return Fraction(str(value)) if unit in {"share", "sd"} else Decimal(str(value))


def _field(setting: Setting) -> forms.ParsedField[int] | forms.ParsedField[Decimal] | forms.ParsedField[Fraction]:
    entry = setting.entry
    ends = {"at_least": _as_typed(entry.low, entry.unit), "at_most": _as_typed(entry.high, entry.unit)}
    if entry.unit == "nm":
        return forms.LengthField(entry.meaning, required=False, allow_zero=True, **ends)
    if entry.unit in {"share", "sd"}:
        return forms.PercentField(entry.meaning, required=False, **ends)
    if entry.unit == "count":
        return forms.CountField(entry.meaning, required=False, **ends)
    return forms.NumberField(entry.meaning, required=False, **ends)


def _text(field: forms.Field) -> str:
    if field.data is None:
        return ""
    if isinstance(field, forms.LengthField):
        # As typed where the rooms read it so; they read a point.
        typed = field.raw_data and display().mark is units.Mark.POINT
        return str(field.raw_data[0]).strip() if typed else pointed(field.show(field.data), field.label.text)
    return (
        f"{pointed(field.show(field.data), field.label.text)}%"
        if isinstance(field, forms.PercentField)
        else f"{field.data}"
    )
