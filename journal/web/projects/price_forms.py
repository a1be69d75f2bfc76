"""The forms of the Price tab: a price to try, with a discount; keep what is shown."""

from __future__ import annotations

from journal.web import forms
from journal.web.discount import Discount, DiscountField


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
