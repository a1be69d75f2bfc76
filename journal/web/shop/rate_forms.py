"""The forms of what an hour costs: of the shop, of a machine, of a place at a bench."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from wtforms import FieldList, Form, FormField, HiddenField

from journal.quote.machine_rate import HOURS_IN_A_YEAR, LONGEST_LIFE_HOURS
from journal.quote.shop_rate import MOST_OVERHEADS
from journal.records.queries.rates import MachineCostRow, OverheadRow, YearRow
from journal.records.queries.workers import WorkerRow
from journal.records.words import OverheadKind
from journal.web import forms
from journal.web.shop.forms import Steps
from journal.web.state import display

if TYPE_CHECKING:
    from journal.desk.rates import MachineCostView

_BASIS_POINTS = 10_000
_BLANK_LINES = 3
_SMALLEST = Decimal("0.01")
_EVERY = ((12, "a month"), (4, "a quarter"), (1, "a year"))


class OverheadForm(Form):
    """One overhead; blank name and amount: not there."""

    name = forms.TextField("What for", required=False, longest=80)
    kind = forms.SelectField("Kind", choices=[forms.SelectChoice(kind.value, kind.value) for kind in OverheadKind])
    amount = forms.AmountField("Amount", required=False, at_least=0)
    every = forms.SelectField("Every", coerce=int, choices=[forms.SelectChoice(*each) for each in _EVERY], default=12)

    def validate(self, extra_validators: Any = None) -> bool:  # noqa: ANN401 - the library's own
        """An amount needs a name to be known by."""
        good = super().validate(extra_validators)
        if self.amount.data and not self.name.data:
            self.name.errors = ["Say what it is for."]
            return False
        return bool(good)


class YearForm(forms.JournalForm):
    """The shop's year."""

    version = forms.VersionField("Version")
    people = forms.CountField("People", at_least=1, at_most=99, description="At the benches")
    income = forms.AmountField("Income", at_least=0, description="What each wants of the year, before their own tax")
    weeks = forms.NumberField(
        "Weeks", at_least=_SMALLEST, at_most=Decimal(52), description="Worked in a year, holidays and sickness off"
    )
    hours = forms.NumberField(
        "Hours a week", at_least=_SMALLEST, at_most=Decimal(168), description="Of one person, all hours in the shop"
    )
    billable = forms.PercentField(
        "Billable share",
        at_least=Fraction(1, _BASIS_POINTS),
        at_most=Fraction(1),
        validators=[Steps(_BASIS_POINTS, "two decimals")],
        description="Hours that projects pay for; the rest is buying, quoting, sweeping",
    )
    overheads = FieldList(FormField(OverheadForm), max_entries=MOST_OVERHEADS)

    @classmethod
    def showing(cls, row: YearRow) -> YearForm:
        """The form filled in with what is kept, or with what was sent."""
        lines = [
            {"name": one.name, "kind": one.kind.value, "amount": one.cents or None, "every": one.times_a_year}
            for one in row.overheads
        ]
        return cls(
            version=row.version,
            people=row.people,
            income=row.income_cents or None,
            weeks=Decimal(str(row.weeks)),
            hours=Decimal(str(row.hours_a_week)),
            billable=Fraction(row.billable_bp, _BASIS_POINTS),
            overheads=[*lines, *({} for _ in range(_BLANK_LINES))],
        )

    def row(self) -> YearRow:
        """What was filled in."""
        lines = [line.form for line in self.overheads if line.form.name.data]
        return YearRow(
            people=self.people.data,
            income_cents=self.income.data,
            weeks=float(self.weeks.data),
            hours_a_week=float(self.hours.data),
            billable_bp=int(self.billable.data * _BASIS_POINTS),
            overheads=tuple(
                OverheadRow(line.name.data, OverheadKind(line.kind.data), line.amount.data or 0, line.every.data)
                for line in lines
            ),
            version=self.version.data,
        )


class MachineCostForm(forms.JournalForm):
    """What a machine costs."""

    stamp = HiddenField()
    purchase = forms.AmountField("Purchase", at_least=0, description="Paid for it, or what another would cost")
    salvage = forms.AmountField("Salvage", required=False, at_least=0, description="What it will bring in the end")
    life = forms.NumberField(
        "Life", at_least=_SMALLEST, at_most=Decimal(LONGEST_LIFE_HOURS), description="Running hours until then"
    )
    hours = forms.NumberField(
        "Hours a year", at_least=_SMALLEST, at_most=Decimal(HOURS_IN_A_YEAR), description="It runs, not stands ready"
    )
    upkeep = forms.AmountField("Upkeep", required=False, at_least=0, description="Belts, bearings, repairs, in a year")
    standing = forms.AmountField(
        "Standing charges",
        required=False,
        at_least=0,
        description="In a year, such as its own insurance; not if the overhead has it",
    )
    power = forms.NumberField("Power", required=False, at_least=Decimal(0), at_most=Decimal(1_000))
    load = forms.PercentField(
        "Load",
        required=False,
        at_least=Fraction(0),
        at_most=Fraction(1),
        validators=[Steps(_BASIS_POINTS, "two decimals")],
        description="Of its power, drawn on average while it runs",
    )
    kwh = forms.NumberField(
        "Electricity", required=False, at_least=Decimal(0), at_most=Decimal(100_000), description="A kilowatt-hour"
    )
    blades = forms.AmountField(
        "Blades", required=False, at_least=0, description="A set of blades, knives or bits, with its sharpenings"
    )
    lasts = forms.NumberField(
        "Hours a set lasts", required=False, at_least=Decimal(0), at_most=Decimal(LONGEST_LIFE_HOURS)
    )

    @classmethod
    def showing(cls, found: MachineCostView) -> MachineCostForm:
        """The form filled in with what is kept, or with what was sent."""
        row, stamp = found.row, found.stamp
        kwh = None if found.kwh_cents is None else Decimal(str(found.kwh_cents)) / 10 ** display().currency.decimals
        if row is None:
            return cls(stamp=stamp, kwh=kwh, load=Fraction(1, 2))
        return cls(
            stamp=stamp,
            purchase=row.purchase_cents,
            salvage=row.salvage_cents or None,
            life=Decimal(str(row.life_hours)),
            hours=Decimal(str(row.hours_a_year)),
            upkeep=row.upkeep_cents_a_year or None,
            standing=row.standing_cents_a_year or None,
            power=Decimal(str(row.power_kw)),
            load=Fraction(row.load_bp, _BASIS_POINTS),
            kwh=kwh,
            blades=row.blade_cents or None,
            lasts=Decimal(str(row.blade_hours)) if row.blade_hours else None,
        )

    def row(self, machine_id: int) -> MachineCostRow:
        """What was filled in; what was left empty is nothing, and the load all of the power."""
        load = Fraction(1) if self.load.data is None else self.load.data
        return MachineCostRow(
            machine_id=machine_id,
            purchase_cents=self.purchase.data,
            life_hours=float(self.life.data),
            hours_a_year=float(self.hours.data),
            salvage_cents=self.salvage.data or 0,
            upkeep_cents_a_year=self.upkeep.data or 0,
            standing_cents_a_year=self.standing.data or 0,
            power_kw=float(self.power.data or 0),
            load_bp=int(load * _BASIS_POINTS),
            kwh_cents=float((self.kwh.data or 0) * 10 ** display().currency.decimals),
            blade_cents=self.blades.data or 0,
            blade_hours=float(self.lasts.data or 0),
        )


class PersonForm(forms.JournalForm):
    """A place at a bench."""

    stamp = HiddenField()
    label = forms.TextField("Place", longest=60, description="Its role, such as bench two or apprentice; no names")
    wage = forms.AmountField(
        "Wage an hour",
        required=False,
        at_least=0,
        description="If hired: what an hour costs you, insurance and holidays included. Empty: the shop’s wage",
    )
    active = forms.BooleanField("At work here", default=True)

    @classmethod
    def showing(cls, row: WorkerRow | None, stamp: str) -> PersonForm:
        """The form filled in with a place, empty for a new one, or with what was sent."""
        if row is None:
            return cls(stamp=stamp)
        return cls(stamp=stamp, label=row.label, wage=row.wage_cents_per_hour, active=row.active)

    def row(self, worker_id: int) -> WorkerRow:
        """What was filled in."""
        return WorkerRow(self.label.data, self.wage.data, self.active.data, worker_id)
