"""A discount as it is typed: a share of the price, or an amount."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from wtforms import StringField

from journal import units
from journal.errors import BadInput
from journal.web import forms
from journal.web.state import display, in_marks


@dataclass(frozen=True, slots=True)
class Discount:
    """Taken off a price: a share of it, or an amount where there is no share."""

    share: Fraction | None = None
    cents: int = 0

    def of(self, price_cents: int) -> int:
        """How much that is of a price, be it more than the price."""
        return self.cents if self.share is None else units.percent_of(price_cents, self.share)

    def off(self, price_cents: int) -> int:
        """How much comes off a price, at most all of it."""
        return min(self.of(price_cents), price_cents)


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
        if self.raw_data:
            return str(self.raw_data[0])
        return _shown(self.data) if self.data else ""


def _read(text: str, field: str) -> Discount:
    if not text.endswith("%"):
        return Discount(cents=forms.read_money(text, field))
    expected = "a share from 0% to 100%, or an amount"
    share = Fraction(forms.read_number(text.removesuffix("%").strip(), field, expected)) / 100
    if not 0 <= share <= 1:
        raise BadInput(field, text, expected)
    return Discount(share)


def _shown(discount: Discount) -> str:
    if discount.share is None:
        return in_marks(units.format_money(discount.cents, display().currency))
    percent = Decimal(discount.share.numerator) * 100 / Decimal(discount.share.denominator)  # exact: it was typed so
    return in_marks(f"{percent.normalize():f}%")
