"""A receipt as it is typed: the form, its lines, and both as the desk takes them; faults at their boxes."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from flask import request

from journal import units
from journal.desk import prices, rack
from journal.desk.receipts import LineFault, Ordered, Per, Receipt
from journal.errors import BadInput
from journal.web import forms
from journal.web.rack.forms import NONE, LineForm, ReceiptForm, project_choices, stock_choices
from journal.web.state import display, journal

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from journal.build.tally import Sawn
    from journal.records.queries.projects import ProjectRow

BLANK_LINES = 2
MOST_LINES = 100
_LABELS = {"board feet": "or board feet of the lot", "price is": "The price is", "stock": "What"}


@dataclass(frozen=True, slots=True)
class Choices:
    """What can be chosen on a receipt."""

    codes: tuple[str, ...]
    projects: tuple[ProjectRow, ...]


@dataclass(frozen=True, slots=True)
class Typed:
    """A receipt form with its lines, each with its number on the page; `pattern` is a blank one for a script to copy."""

    form: ReceiptForm
    lines: tuple[tuple[int, LineForm], ...]
    pattern: LineForm

    @property
    def wrong(self) -> bool:
        """Whether anything in it could not be taken."""
        return self.form.refused() or any(line.refused() for _, line in self.lines)

    def more(self, choices: Choices) -> Typed:
        """With one more blank line."""
        number = max((number for number, _ in self.lines), default=-1) + 1
        return Typed(self.form, (*self.lines, (number, _blank(number, choices))), self.pattern)


def choices(session: Session, *, project_id: int | None = None) -> Choices:
    """What the shop buys, and for whom; the project a receipt already names is among them. Few statements."""
    listed = rack.open_projects(session)
    if project_id is not None and all(one.id != project_id for one in listed):
        listed = (rack.project(session, project_id), *listed)
    return Choices(tuple(stock.item.code for stock in prices.listed(session, journal().today())), listed)


def fresh(there: Choices, *, project_id: int | None = None) -> Typed:
    """An empty receipt of today."""
    form = _form(there, formdata=None, on_date=journal().today(), project=str(project_id or NONE))
    return _with_blanks(form, (), there)


def filled(receipt: Receipt, there: Choices) -> Typed:
    """A kept receipt, to be put right."""
    form = _form(
        there,
        formdata=None,
        on_date=receipt.on_date,
        supplier=receipt.supplier,
        project=str(receipt.project_id or NONE),
        tax=receipt.tax_cents or None,
        freight=receipt.freight_cents or None,
        note=receipt.note,
    )
    lines = []
    for number, line in enumerate(receipt.lines):
        one = _blank(
            number,
            there,
            stock=line.stock_code,
            count=line.count,
            length=line.length_nm,
            tally=_tally_text(line.boards),
            board_feet=None if line.board_feet is None else Decimal(f"{line.board_feet:g}"),
            price=line.price_cents,
            per=line.per.value,
        )
        lines.append((number, one))
    return _with_blanks(form, tuple(lines), there)


def sent(there: Choices) -> Typed:
    """What came back."""
    form = _form(there)
    numbers = list(
        dict.fromkeys(int(each) for each in request.form.getlist("row") if each.isascii() and each.isdigit())
    )
    lines = tuple((number, _line(number, there)) for number in numbers[:MOST_LINES])
    return Typed(form, lines, _blank(0, there, prefix="l__n__-"))


def read(typed: Typed) -> Receipt | None:
    """The receipt, or None with the faults at their boxes; lines with nothing in them are left out."""
    valid = typed.form.validate_on_submit()
    told = [line for _, line in typed.lines if not line.blank]
    ordered = [_ordered(line) for line in told]
    if not told:
        typed.form.form_errors.append("Fill in at least one line.")
    if not valid or not told or any(line is None for line in ordered):
        return None
    form = typed.form
    by_rate = isinstance(form.tax.data, Fraction)
    return Receipt(
        lines=tuple(line for line in ordered if line is not None),
        on_date=form.on_date.data,
        supplier=form.supplier.data,
        project_id=int(form.project.data) if form.project.data else None,
        freight_cents=form.freight.data or 0,
        tax_cents=0 if by_rate else form.tax.data or 0,
        tax_rate=form.tax.data if by_rate else None,
        note=form.note.data,
        learn=form.learn.data,
    )


def attach(typed: Typed, fault: BadInput) -> None:
    """Put the desk's refusal at the box it is about."""
    if isinstance(fault, LineFault):
        told = [line for _, line in typed.lines if not line.blank]
        box = _LABELS.get(fault.field, fault.field)
        forms.attach(told[fault.place], BadInput(box, fault.received, fault.expected))
        return
    if fault.field == "date":
        typed.form.on_date.errors = [*typed.form.on_date.errors, forms.explain(fault)]
        return
    forms.attach(typed.form, fault)


def _ordered(line: LineForm) -> Ordered | None:
    if not line.validate():
        return None
    if not line.stock.data:
        line.stock.errors = [*line.stock.errors, "Choose what was bought."]
        return None
    return Ordered(
        stock_code=line.stock.data,
        price_cents=line.price.data,
        per=Per(line.per.data),
        count=line.count.data,
        length_nm=line.length.data,
        boards=line.tally.boards,
        board_feet=None if line.board_feet.data is None else float(line.board_feet.data),
    )


def _form(there: Choices, **given: object) -> ReceiptForm:
    form = ReceiptForm(**given)
    form.project.choices = project_choices(there.projects, "the rack")
    return form


def _with_blanks(form: ReceiptForm, lines: tuple[tuple[int, LineForm], ...], there: Choices) -> Typed:
    start = len(lines)
    blanks = tuple((number, _blank(number, there)) for number in range(start, max(BLANK_LINES, start + 1)))
    return Typed(form, (*lines, *blanks), _blank(0, there, prefix="l__n__-"))


def _blank(number: int, there: Choices, *, prefix: str = "", **given: object) -> LineForm:
    return _with_choices(LineForm(formdata=None, prefix=prefix or f"l{number}-", **given), there)


def _line(number: int, there: Choices) -> LineForm:
    return _with_choices(LineForm(prefix=f"l{number}-"), there)


def _with_choices(line: LineForm, there: Choices) -> LineForm:
    line.stock.choices = stock_choices(there.codes)
    return line


def _tally_text(boards: Sequence[Sawn]) -> str:
    system = display().system
    lines = []
    for one in boards:
        size = " x ".join(units.format_length(nm, system, denominator=64) for nm in (one.width_nm, one.length_nm))
        lines.append(f"{one.count} x {size}" if one.count > 1 else size)
    return "\n".join(lines)
