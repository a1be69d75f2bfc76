"""The forms of the Buy section; the boxes of the yard are read by `yard`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wtforms import HiddenField, SelectField

from journal.desk.buying import PAPERS
from journal.web import forms
from journal.web.photo_field import PhotosField

if TYPE_CHECKING:
    from collections.abc import Sequence

SEARCHES = (("10", "10 seconds"), ("60", "1 minute"), ("600", "10 minutes"), ("3600", "1 hour"))


class StockForm(forms.JournalForm):
    """A button about one stock."""

    stock = HiddenField("Stock")


class SearchForm(StockForm):
    """Look for a cheaper plan, for so long at most."""

    seconds = SelectField("For at most", choices=[forms.SelectChoice(*each) for each in SEARCHES], default="60")


class DrawForm(forms.JournalForm):
    """Boards of the rack that are taken, by their numbers as the page listed them."""

    numbers = HiddenField("Boards")


class PaperForm(forms.JournalForm):
    """The paper cut sheets are printed on."""

    paper = SelectField("Paper", choices=[forms.SelectChoice(*each) for each in PAPERS.items()])


class ReceiptForm(forms.JournalForm):
    """What stands on a receipt beside its lines."""

    supplier = forms.TextField("Bought at", required=False)
    tax = forms.MoneyField("Tax on it", required=False, at_least=0)
    freight = forms.MoneyField("Freight", required=False, at_least=0)
    note = forms.TextField("Note", required=False)
    photos = PhotosField("Photos of the slip")
    stamp = HiddenField("List")


def draw_form(numbers: Sequence[int]) -> DrawForm:
    """The button that draws these boards."""
    return DrawForm(formdata=None, numbers=",".join(map(str, numbers)))
