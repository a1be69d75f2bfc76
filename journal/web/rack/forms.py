"""The forms of the Rack section."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from wtforms import SubmitField, TextAreaField
from wtforms.widgets import TextArea

from journal import units
from journal.build import tally
from journal.build.tally import MOST_BOARDS, Sawn
from journal.desk.receipts import MOST, Per
from journal.errors import BadInput, BadRows
from journal.quote.rack_value import Method
from journal.web import forms
from journal.web.photo_field import PhotosField
from journal.web.state import display, in_marks, pointed

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from journal.records.queries.projects import ProjectRow

NONE = ""  # the choice of nothing
METHODS = {Method.AVERAGE: "on average", Method.FIRST_IN: "first in, first out"}


class BoardLengthField(forms.LengthField):
    """Nanometres of a board's length; a bare number is feet, or millimetres in a metric shop."""

    def parse(self, text: str) -> int:
        return tally.parse_board_length(pointed(text, self.label.text), system=display().system, field=self.label.text)

    def show(self, value: int) -> str:
        inch = display().system is units.System.INCH
        feet = (f"{units.format_length(value, feet=True, denominator=64)}",) if inch else ()
        return self._faithful(value, *feet, super().show(value))


class TallyField(TextAreaField):
    """Boards by width and length, a line each; `boards` once it is read."""

    widget = TextArea()
    boards: tuple[Sawn, ...] = ()

    def process_formdata(self, valuelist: list[str]) -> None:
        self.data = valuelist[0] if valuelist else ""
        self.boards = ()
        if not self.data.strip():
            return
        try:
            self.boards = tally.parse_tally(pointed(self.data, self.label.text), system=display().system)
        except BadRows as refusal:
            raise ValueError("; ".join(str(problem) for problem in refusal.problems[:5])) from refusal
        except BadInput as refusal:
            raise ValueError(forms.explain(refusal)) from refusal


class LineForm(forms.JournalForm):
    """A line of a receipt; the receipt carries the mark of ours."""

    class Meta:
        csrf = False

    stock = forms.SelectField("What", validate_choice=True)
    count = forms.CountField("How many", required=False, at_least=1, at_most=MOST)
    length = BoardLengthField("Length", required=False, description="8 is 8 ft; of lumber by the piece")
    tally = TallyField(
        "Tally",
        description="hardwood, a board a line: width x length, such as 6 1/2 x 8; or 3 x 6 1/2 x 8 for three of them",
    )
    board_feet = forms.NumberField("or board feet of the lot", required=False)
    price = forms.MoneyField("Price", at_least=0)
    per = forms.SelectField("The price is", choices=[forms.SelectChoice(each.value, each.value) for each in Per])

    @property
    def blank(self) -> bool:
        """Whether nothing was typed into it."""
        boxes = (self.count, self.length, self.tally, self.board_feet, self.price)
        return not self.stock.data and not any((box.raw_data or [""])[0].strip() for box in boxes)


class TaxField(forms.ParsedField[int | Fraction]):
    """The tax on a receipt in minor units, or its rate as a share of one where it is typed in percent."""

    inputmode = "decimal"

    def parse(self, text: str) -> int | Fraction:
        if not text.endswith("%"):
            return forms.read_money(text, self.label.text)
        rate = Fraction(
            forms.read_number(text.removesuffix("%").strip(), self.label.text, "a percentage such as 6.25%")
        )
        if not 0 <= rate < 100:
            raise BadInput(self.label.text, text, "a percentage from 0 to under 100")
        return rate / 100

    def show(self, value: int | Fraction) -> str:
        if isinstance(value, Fraction):
            return in_marks(f"{float(100 * value):g}%")
        return in_marks(units.format_money(value, display().currency))


class ReceiptForm(forms.JournalForm):
    """What stands on a receipt beside its lines."""

    on_date = forms.DateField("Date", validators=[forms.Required()])
    supplier = forms.TextField("Bought at", required=False)
    project = forms.SelectField("For")
    tax = TaxField("Tax on it", required=False, at_least=0, description="an amount, or 6.25% of the lines")
    freight = forms.MoneyField("Freight", required=False, at_least=0)
    note = forms.TextField("Note", required=False)
    photos = PhotosField("Photos of the slip")
    learn = forms.BooleanField("Put prices that are new into the price book", default=True)


class AddForm(forms.JournalForm):
    """Boards that nobody wrote down when they came."""

    stock = forms.SelectField("What")
    count = forms.CountField("How many", at_least=1, at_most=MOST_BOARDS, default=1)
    length = BoardLengthField("Length", required=False, description="8 is 8 ft; empty for a whole sheet")
    width = forms.LengthField("Width", required=False, description="where it is not the usual one")
    cost = forms.MoneyField("What each cost", required=False, at_least=0)
    offcut = forms.BooleanField("An offcut")
    note = forms.TextField("Note", required=False)


class UseForm(forms.JournalForm):
    """So many boards like this one, for a project."""

    count = forms.CountField("How many", at_least=1, default=1)
    project = forms.SelectField("Project")
    plan = SubmitField("Plan for it")
    draw = SubmitField("Draw: it is used")
    free = SubmitField("Make free")


class OffForm(forms.JournalForm):
    """So many boards like this one, struck off."""

    count = forms.CountField("How many", at_least=1, default=1)
    why = forms.TextField("Why")


class StretchForm(forms.JournalForm):
    """A stretch of a board that no part may lie over."""

    start = forms.LengthField("From", allow_zero=True, description="from the end you measure from")
    end = forms.LengthField("To")
    why = forms.TextField("Why", description="a knot, a split")
    version = forms.VersionField()


class NoteForm(forms.JournalForm):
    """A note on a board."""

    note = forms.TextField("Note", required=False)
    version = forms.VersionField()


class CostForm(forms.JournalForm):
    """How the shop counts what wood cost."""

    method = forms.SelectField(
        "What wood cost is counted", choices=[forms.SelectChoice(key.value, text) for key, text in METHODS.items()]
    )


class TakeForm(forms.JournalForm):
    """Pieces off the shelf, for a project or because they are spoilt."""

    amount = forms.CountField("How many", at_least=1, default=1)
    project = forms.SelectField("For")
    why = forms.TextField("Or what became of it", required=False, description="dropped, dried up, lent")


class PourForm(TakeForm):
    """The same of what comes in containers."""

    amount = forms.LiquidField("How much", at_least=0.1, description="8 fl oz, 250 ml")


def project_choices(projects: Iterable[ProjectRow], none: str) -> list[forms.SelectChoice]:
    """No project first."""
    listed = [forms.SelectChoice(str(one.id), f"{one.code} {one.title}") for one in projects]
    return [forms.SelectChoice(NONE, none), *listed]


def stock_choices(codes: Sequence[str]) -> list[forms.SelectChoice]:
    """Nothing chosen first."""
    return [forms.SelectChoice(NONE, "choose"), *(forms.SelectChoice(code, code) for code in codes)]
