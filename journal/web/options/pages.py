"""What the templates of Options receive."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import units
from journal.quote.risk import Range
from journal.web import figures, filters
from journal.web.options.forms import CARRIES, MORE, PARAMETER, STOCK, WITHOUT
from journal.web.state import display, in_marks

if TYPE_CHECKING:
    from wtforms import Field

    from journal.desk.options import Comparison, Ground, Variant
    from journal.quote.options import ComparedLine
    from journal.records.queries.projects import ProjectRow
    from journal.web.options.forms import OptionForm

_EIGHT_IN_TEN = (0.1, 0.9)


@dataclass(frozen=True, slots=True)
class Card:
    """An option at a glance.

    Attributes:
        variant: the option.
        price: what to ask; "" where it cannot be built. more: against the project, with its sign.
        hours: their range.
        sure: how far its cost lies over or under the project's, in words.
    """

    variant: Variant
    price: str
    more: str
    hours: str
    sure: str


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the table: its name, the project's figure, each option's with its difference ("" for none)."""

    name: str
    project: str
    cells: tuple[tuple[str, str], ...]
    total: bool


@dataclass(frozen=True, slots=True)
class OptionsPage:
    """What options/show.html receives.

    Attributes:
        project: whose they are.
        open: whether one may still become the project.
        price, hours: of the project as it is; "" without an estimate.
        cards, rows: the options at a glance, and line by line.
        plan_version: of the parts they rest on.
        room: whether one more may be added.
        trouble: why the project itself has no estimate.
    """

    project: ProjectRow
    open: bool
    price: str
    hours: str
    cards: tuple[Card, ...]
    rows: tuple[Row, ...]
    plan_version: int
    room: bool
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class PartBox:
    """A part in the form: its boxes for being left out and for what it carries."""

    label: str
    without: Field
    carries: Field


@dataclass(frozen=True, slots=True)
class EditPage:
    """What options/edit.html receives.

    Attributes:
        project: whose option it is; option_id: 0 for a new one.
        form: everything; dimensions, stocks, parts, more: its boxes by kind.
        by_hand: other dimensions would lose what was changed by hand in the parts.
        conflict: somebody else changed it since the form was opened.
    """

    project: ProjectRow
    option_id: int
    form: OptionForm
    dimensions: tuple[Field, ...]
    stocks: tuple[Field, ...]
    parts: tuple[PartBox, ...]
    more: tuple[Field, ...]
    by_hand: bool
    conflict: bool


def options_page(found: Comparison, most: int) -> OptionsPage:
    """The comparison, laid out."""
    made = found.found.made
    return OptionsPage(
        project=found.found.project,
        open=found.open,
        price=filters.money(made.price_cents),
        hours=hours_text(Range.of(made.hours)),
        cards=tuple(_card(variant, made.price_cents) for variant in found.variants),
        rows=tuple(_row(line) for line in found.lines if line.differs or line.name == "Price"),
        plan_version=found.plan_version,
        room=len(found.variants) < most,
    )


def edit_page(ground: Ground, option_id: int, form: OptionForm, *, conflict: bool = False) -> EditPage:
    """The form of an option, laid out."""
    without, carries = form.named(WITHOUT), form.named(CARRIES)
    return EditPage(
        project=ground.project,
        option_id=option_id,
        form=form,
        dimensions=tuple(form.named(PARAMETER).values()),
        stocks=tuple(form.named(STOCK).values()),
        parts=tuple(PartBox(part.label, without[part.uid], carries[part.uid]) for part in ground.listed),
        more=tuple(form.named(MORE).values()),
        by_hand=ground.by_hand,
        conflict=conflict,
    )


def hours_text(hours: Range) -> str:
    """A range of hours: “41 – 58 h”."""
    return in_marks(f"{hours.p10:,.0f} – {hours.p90:,.0f} h")


def signed(value: float, unit: str) -> str:
    """A difference with its sign: “+$120.00”, “−2 h 10 min”."""
    text = figures.value_text(abs(value), unit, display())
    return f"{'−' if value < 0 else '+'}{text}"


def _card(variant: Variant, project_cents: int) -> Card:
    if variant.made is None:
        return Card(variant, "", "", "", "")
    price = variant.made.price_cents
    return Card(
        variant=variant,
        price=filters.money(price),
        more=signed(price - project_cents, "cents") if price != project_cents else "the same price",
        hours=hours_text(Range.of(variant.made.hours)),
        sure=_sure(variant),
    )


def _sure(variant: Variant) -> str:
    """“Costs you $80 to $140 more, eight times in ten.”; "" where the cost is the same whatever happens."""
    found = variant.dearer
    if found is None or found.spread.p10 == found.spread.p90 == 0:
        return ""
    low, high = sorted((found.spread.p10, found.spread.p90), key=abs)
    if found.spread.p10 * found.spread.p90 > 0:
        less = "less" if high < 0 else "more"
        return f"It costs the shop {_whole(low)} to {_whole(high)} {less}, eight times in ten."
    over, under = _whole(found.spread.p90), _whole(found.spread.p10)
    return f"It costs the shop from {under} less to {over} more, eight times in ten."


def _whole(cents: float) -> str:
    return in_marks(_pointed(abs(cents)))


def _pointed(cents: float) -> str:
    """Without its cents, which on a guess would only be noise."""
    step = 10 ** display().currency.decimals
    text = units.format_money(units.round_half_up(cents / step) * step, display().currency)
    return text.removesuffix("." + "0" * display().currency.decimals)


def _row(line: ComparedLine) -> Row:
    first, *others = line.values
    cells = tuple(
        (_figure(value, line.unit), signed(more, line.unit) if more else "")
        for value, more in zip(others, line.differences, strict=True)
    )
    return Row(line.name, _figure(first, line.unit), cells, total=line.name == "Price")


def _figure(value: float | None, unit: str) -> str:
    return "–" if value is None else figures.value_text(value, unit, display())
