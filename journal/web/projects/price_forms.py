"""The forms of the Price tab: a price to try, with a discount; keep what is shown."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from wtforms import StringField

from journal import units
from journal.errors import BadInput
from journal.web import forms


@dataclass(frozen=True, slots=True)
class Discount:
    """Taken off a price: a share of it, or an amount where there is no share."""

    share: Fraction | None = None
    cents: int = 0

    def off(self, price_cents: int) -> int:
        """How much comes off a price, at most all of it."""
        taken = self.cents if self.share is None else units.percent_of(price_cents, self.share)
        return min(taken, price_cents)


class DiscountField(StringField):
    """“5%” of the price, or an amount; None when empty."""

    def process_formdata(self, valuelist: list[str]) -> None:
        text = valuelist[0].strip() if valuelist else ""
        self.data = None
        if not text:
            return
        try:
            self.data = _read(text, self.label.text)
        except BadInput as refusal:
            raise ValueError(forms.explain(refusal)) from refusal

    def _value(self) -> str:
        return str(self.raw_data[0]) if self.raw_data else ""


class AtPriceForm(forms.JournalForm):
    """A price to try; asked for by a plain address, so it can be kept as a bookmark."""

    class Meta:
        """Changes nothing, so it needs no mark of ours."""

        csrf = False

    price = forms.MoneyField("If you asked", at_least=1)
    discount = DiscountField("Less a discount, 5% or 150")

    @property
    def given(self) -> Discount:
        """The discount; none when nothing was typed."""
        return self.discount.data or Discount()


class KeepForm(forms.JournalForm):
    """Keep the estimate that is shown."""

    reason = forms.TextField(
        "What it is for", required=False, description="Told to the client, before the new prices …"
    )
    price_cents = forms.VersionField("Price shown")


def _read(text: str, field: str) -> Discount:
    if not text.endswith("%"):
        return Discount(cents=forms.read_money(text, field))
    expected = "a share from 0% to 100%, or an amount"
    share = Fraction(forms.read_number(text.removesuffix("%").strip(), field, expected)) / 100
    if not 0 <= share <= 1:
        raise BadInput(field, text, expected)
    return Discount(share)
