"""The boxes of the page at the yard, and back: what is ticked, how many, at what price, and how many were there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal import units
from journal.desk.at_the_yard import Bought
from journal.errors import BadInput
from journal.web import figures, forms, state

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from journal.desk.buying import BuyLine, Shopping
    from journal.desk.cutting_plans import InForce

_MOST = 100_000  # of anything on one receipt


@dataclass(frozen=True, slots=True)
class Box:
    """One box: its name in the form, what stands in it, what is wrong with it."""

    name: str
    value: str
    error: str = ""


@dataclass(frozen=True, slots=True)
class YardRow:
    """One thing to buy, or one more length that is sold.

    Attributes:
        key: tells it from the others.
        line: what is to buy; None for a length that the plan does without.
        stock, length_nm: of a board; length_nm is 0 for the rest.
        ticked: in the cart.
        count, price: of what is bought; None for a length that the plan does without.
        there: how many there are, where that can change the plan.
    """

    key: str
    line: BuyLine | None
    stock: str
    length_nm: int
    ticked: bool
    count: Box | None
    price: Box | None
    there: Box | None

    @property
    def wrong(self) -> bool:
        """Whether anything in it could not be read."""
        return any(box is not None and box.error for box in (self.count, self.price, self.there))


@dataclass(frozen=True, slots=True)
class Read:
    """What was typed: the rows with their faults, the lines of a receipt, and what was there by stock and length."""

    rows: tuple[YardRow, ...]
    bought: tuple[Bought, ...]
    there: Mapping[str, Mapping[int, int]]

    @property
    def refused(self) -> bool:
        """Whether any box could not be read."""
        return any(row.wrong for row in self.rows)


def rows_for(found: Shopping, lines: Sequence[BuyLine], ticked: Sequence[str]) -> tuple[YardRow, ...]:
    """The rows of one trip, filled in from the list."""
    plans = {plan.lot.stock.code: plan for plan in found.plans}
    bought = {(line.stock, line.length_nm): int(line.bought) for line in found.lines}
    return tuple(_row(line, plans.get(line.stock), bought, ticked) for line in lines)


def other_lengths(found: Shopping, lines: Sequence[BuyLine]) -> tuple[YardRow, ...]:
    """Lengths of the same boards that the plan does without, so that their absence can be told."""
    there = {(line.stock, line.length_nm) for line in lines}
    stocks = {line.stock for line in lines if line.unit == "board"}
    return tuple(
        YardRow(_key(code, stock.length), None, code, stock.length, False, None, None, _there(plan, stock.length, 0))
        for plan in found.plans
        if (code := plan.lot.stock.code) in stocks
        for stock in plan.lot.on_sale.stock
        if (code, stock.length) not in there
    )


def read(rows: Sequence[YardRow], sent: Mapping[str, str]) -> Read:
    """What was typed into the boxes of these rows; faults stand at their boxes, the text stays as typed."""
    done: list[YardRow] = []
    bought: list[Bought] = []
    there: dict[str, dict[int, int]] = {}
    for row in rows:
        ticked = f"tick-{row.key}" in sent
        count, amount = _number(row.count, sent, required=ticked, whole=row.line is None or row.line.unit != "bd ft")
        price, cents = _money(row.price, sent, required=ticked)
        limit, at_hand = _number(row.there, sent, required=False, whole=True, allow_zero=True)
        done.append(replace(row, ticked=ticked, count=count, price=price, there=limit))
        if ticked and amount is not None and cents is not None:
            bought.append(Bought(row.key, amount, cents))
        if row.there is not None:
            there.setdefault(row.stock, {})
            if at_hand is not None:
                there[row.stock][row.length_nm] = int(at_hand)
    return Read(tuple(done), tuple(bought), there)


def _row(line: BuyLine, plan: InForce | None, bought: Mapping[tuple[str, int], int], ticked: Sequence[str]) -> YardRow:
    limited = plan is not None and line.unit == "board"
    return YardRow(
        key=line.key,
        line=line,
        stock=line.stock,
        length_nm=line.length_nm,
        ticked=line.key in ticked,
        count=Box(f"count-{line.key}", figures.number(round(line.left, 1))),
        price=Box(f"price-{line.key}", state.in_marks(units.format_money(line.price_cents, state.display().currency))),
        there=_there(plan, line.length_nm, bought.get((line.stock, line.length_nm), 0)) if limited and plan else None,
    )


def _there(plan: InForce, length_nm: int, bought: int) -> Box:
    """How many there were when somebody last looked, less those bought since."""
    limit = plan.there.get(length_nm)
    name = f"there-{_key(plan.lot.stock.code, length_nm)}"
    return Box(name, "" if limit is None else str(max(0, limit - bought)))


def _key(code: str, length_nm: int) -> str:
    return f"{code}-{length_nm}"


def _number(
    box: Box | None, sent: Mapping[str, str], *, required: bool, whole: bool, allow_zero: bool = False
) -> tuple[Box | None, float | None]:
    if box is None:
        return None, None
    text = sent.get(box.name, "").strip()
    if not text:
        return Box(box.name, text, "Fill this in." if required else ""), None
    expected = "a whole number such as 4" if whole else "a number such as 12.5"
    try:
        value = forms.read_number(text, "number", expected)
    except BadInput as refusal:
        return Box(box.name, text, forms.explain(refusal)), None
    low = 0 if allow_zero else 1 if whole else 0
    fits = low <= value <= _MOST and (value > 0 or allow_zero) and (not whole or value == value.to_integral_value())
    if not fits:
        return Box(box.name, text, f"Read “{text}”, expected {expected}."), None
    return Box(box.name, text), float(value)


def _money(box: Box | None, sent: Mapping[str, str], *, required: bool) -> tuple[Box | None, int | None]:
    if box is None:
        return None, None
    text = sent.get(box.name, "").strip()
    if not text:
        return Box(box.name, text, "Fill this in." if required else ""), None
    try:
        return Box(box.name, text), forms.read_money(text, "price")
    except BadInput as refusal:
        return Box(box.name, text, forms.explain(refusal)), None


def tick(row: YardRow, ticked: Sequence[str]) -> YardRow:
    """The row, in the cart when it is named."""
    return replace(row, ticked=row.key in ticked)
