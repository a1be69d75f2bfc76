"""The six questions."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from wtforms import SelectMultipleField, widgets

from journal import reference, units
from journal.desk.welcome import CLAMPS, Answers
from journal.web import forms

if TYPE_CHECKING:
    from typing import Self

_CLAMPS = reference.allowance(CLAMPS)


class WelcomeForm(forms.JournalForm):
    """Lengths, money, hours and people, the wage, machines, clamps."""

    system = forms.SelectField(
        "Lengths",
        choices=[
            forms.SelectChoice(units.System.INCH.value, "Inches"),
            forms.SelectChoice(units.System.METRIC.value, "Millimetres"),
        ],
        description="Either is read wherever a size is typed; this is how sizes are shown",
    )
    currency = forms.SelectField("Money", description="Starting prices keep their numbers, whatever the money")
    hours = forms.NumberField(
        "Hours a week at the bench",
        at_least=Decimal("0.1"),
        at_most=Decimal(168),
        description="Really worked, everybody together; dates and weeks follow from them",
    )
    people = forms.CountField(
        "People at the benches", at_least=1, at_most=99, description="Who share those hours, you among them"
    )
    wage = forms.AmountField(
        "Wage an hour",
        description="In the money above: what an hour at the bench is to bring you, unpaid hours included",
    )
    clamps = forms.CountField(
        "Clamps you can use at once",
        at_least=int(_CLAMPS.low),
        at_most=int(_CLAMPS.high),
        description="They decide how a wide slab is glued up",
    )
    machines = SelectMultipleField(
        "Machines", widget=widgets.ListWidget(prefix_label=False), option_widget=widgets.CheckboxInput()
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.currency.choices = [
            forms.SelectChoice(one.code, f"{one.code}  {one.symbol}") for one in units.currencies()
        ]
        self.machines.choices = [(kind, kind[:1].upper() + kind[1:]) for kind in reference.machines()]

    @classmethod
    def showing(cls, answers: Answers) -> Self:
        """The form filled in with what the sums would take, or with what was sent."""
        return cls(
            system=answers.system.value,
            currency=answers.currency,
            hours=Decimal(answers.minutes_per_week) / 60,
            people=answers.people,
            wage=answers.wage_cents_per_hour,
            clamps=answers.clamps,
            machines=list(answers.machines),
        )

    def answers(self) -> Answers:
        """What was said."""
        return Answers(
            system=units.System(self.system.data),
            currency=self.currency.data,
            minutes_per_week=units.round_half_up(self.hours.data * 60),
            people=self.people.data,
            wage_cents_per_hour=self.wage.data,
            machines=tuple(self.machines.data),
            clamps=self.clamps.data,
        )
