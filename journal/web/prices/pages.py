"""What the pages of Prices show: the price list by kind, what is open in it, the forms to add to it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.desk.starting_stock import STARTING
from journal.records.words import PricePer, StockForm
from journal.web import filters

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from journal.desk.prices import PricedStock, Seen
    from journal.records.queries.stock import ItemRow, PriceRow
    from journal.web.forms import JournalForm
    from journal.web.nav import Link
    from journal.web.prices.forms import PriceForm

_TITLES = {
    StockForm.DIMENSIONAL: ("Lumber by length", "Planed sizes, a price for each length."),
    StockForm.ROUGH: ("Hardwood", "Rough, in random widths, by the board foot."),
    StockForm.SHEET: ("Sheets", "By the sheet."),
    StockForm.ADHESIVE: ("Glue", "By the container."),
    StockForm.FINISH: ("Finish", "By the container."),
    StockForm.HARDWARE: ("Hardware", "By the piece."),
    StockForm.CONSUMABLE: ("Consumables", "By the piece."),
}
_PER = {
    PricePer.PIECE: "a piece",
    PricePer.BOARD_FOOT: "a board foot",
    PricePer.FOOT: "a foot",
    PricePer.SHEET: "a sheet",
    PricePer.CONTAINER: "a container",
    PricePer.EACH: "each",
}


@dataclass(frozen=True, slots=True)
class Listing:
    """What decides how the list is laid out: today, the shop's usual wood, and which thing is open (0: none)."""

    today: date
    usual_wood: str
    opened_id: int = 0


@dataclass(frozen=True, slots=True)
class Age:
    """How old the prices of one thing are.

    Attributes:
        text: the age of the oldest, in words; '' when nobody has seen any.
        starting: how many of them came with the program.
        of: how many prices there are.
        stale: the oldest should be looked at again.
    """

    text: str
    starting: int
    of: int
    stale: bool


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One thing in the list.

    Attributes:
        item: what it is.
        detail: its size in a few words.
        per: what one price buys, in words.
        cells: the price for each column of its group, None where there is none.
        age: of its prices.
    """

    item: ItemRow
    detail: str
    per: str
    cells: tuple[Seen | None, ...]
    age: Age


@dataclass(frozen=True, slots=True)
class Fold:
    """Lines that fold away together: one wood; '' for what has none, which does not fold.

    Attributes:
        title: the wood.
        lines: what there is of it.
        open: the shop buys it as a rule, or has a price of its own for it, or one of it is open.
    """

    title: str
    lines: tuple[PriceLine, ...]
    open: bool


@dataclass(frozen=True, slots=True)
class PriceGroup:
    """One kind of thing.

    Attributes:
        title, about: the heading and what stands under it.
        columns: the lengths that have a price (None: by the foot); (None,) for what goes by one price.
        by_length: whether the columns are lengths.
        folds: the things of that kind.
    """

    title: str
    about: str
    columns: tuple[int | None, ...]
    by_length: bool
    folds: tuple[Fold, ...]


@dataclass(frozen=True, slots=True)
class PriceBox:
    """A box for a price: the field's name, the price in force beside it, that price's age in words."""

    name: str
    now: Seen | None
    age: str


@dataclass(frozen=True, slots=True)
class Opened:
    """The thing that is open in the list.

    Attributes:
        item_id: which.
        form: for a price seen.
        boxes: the form's boxes with what is in force.
        history: every price, day by day, newest first.
        by_length: whether a price is for a length.
        per: what one price buys, in words.
    """

    item_id: int
    form: PriceForm
    boxes: tuple[PriceBox, ...]
    history: tuple[PastDay, ...]
    by_length: bool
    per: str


@dataclass(frozen=True, slots=True)
class PastDay:
    """The prices kept for one day; `starting` when they came with the program.

    Attributes:
        on: the day.
        starting: nobody saw them.
        prices: by length.
        remark: where, and what was noted.
    """

    on: date
    starting: bool
    prices: tuple[PriceRow, ...]
    remark: str


@dataclass(frozen=True, slots=True)
class PricesPage:
    """What prices/index.html receives.

    Attributes:
        groups: the price list by kind.
        things: how many things are in it.
        starting: how many of them have only prices that came with the program.
        stale: how many have a price of the shop's own that is old.
        opened: the one that is open, if any.
        put_away: what was taken off the list.
        undo: the one that was just taken off.
    """

    groups: tuple[PriceGroup, ...]
    things: int
    starting: int
    stale: int
    opened: Opened | None
    put_away: tuple[ItemRow, ...]
    undo: ItemRow | None


@dataclass(frozen=True, slots=True)
class AddPage:
    """What prices/add.html receives: the kind in words, links to the kinds, the form, and where it is sent."""

    what: str
    kinds: tuple[Link, ...]
    form: JournalForm
    action: str


def price_groups(stock: Sequence[PricedStock], listing: Listing) -> tuple[PriceGroup, ...]:
    """The price list by kind; a kind the shop does not buy is left out."""
    kinds = {form: [one for one in stock if one.item.form is form] for form in _TITLES}
    return tuple(_group(form, sorted(held, key=_place), listing) for form, held in kinds.items() if held)


def past_days(history: Sequence[PriceRow]) -> tuple[PastDay, ...]:
    """The price history, day by day, newest first."""
    days: dict[tuple[date, str, str], list[PriceRow]] = {}
    for row in history:
        days.setdefault((row.on_date, row.supplier, row.note), []).append(row)
    return tuple(
        PastDay(on, note == STARTING, tuple(rows), ", ".join(filter(None, (supplier, note))))
        for (on, supplier, note), rows in days.items()
    )


def price_boxes(form: PriceForm, stock: PricedStock, today: date) -> tuple[PriceBox, ...]:
    """The boxes of a form, each with the price in force."""
    in_force = {seen.length_nm: seen for seen in stock.prices}
    found = [(name, in_force.get(length_nm)) for name, length_nm in form.boxes.items()]
    return tuple(PriceBox(name, seen, _age_of(seen, today)) for name, seen in found)


def per_words(stock: PricedStock) -> str:
    """What one price buys, in words."""
    item = stock.item
    if item.container_ml and stock.per is PricePer.CONTAINER:
        return f"a container of {filters.liquid(item.container_ml)}"
    return _PER[stock.per]


def ago(days: int) -> str:
    """How long ago, in the largest unit that still says something."""
    if days < 14:
        return {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")
    if days < 60:
        return f"{days // 7} weeks ago"
    if days < 730:
        return f"{days // 30} months ago"
    return f"{days // 365} years ago"


def _group(form: StockForm, held: Sequence[PricedStock], listing: Listing) -> PriceGroup:
    by_length = form is StockForm.DIMENSIONAL
    lengths = {seen.length_nm for stock in held for seen in stock.prices}
    columns = tuple(sorted(lengths, key=lambda length: length or 0)) if by_length else (None,)
    woods = dict.fromkeys(stock.item.species or "" for stock in held)
    of_wood = {wood: [one for one in held if (one.item.species or "") == wood] for wood in woods}
    folds = tuple(_fold(wood, stock, columns, listing) for wood, stock in of_wood.items())
    title, about = _TITLES[form]
    usual_first = sorted(folds, key=lambda fold: fold.title != listing.usual_wood)
    return PriceGroup(title, about, columns, by_length, tuple(usual_first))


def _fold(wood: str, held: Sequence[PricedStock], columns: Sequence[int | None], listing: Listing) -> Fold:
    lines = tuple(_line(stock, columns, listing.today) for stock in held)
    own = any(line.age.starting < line.age.of for line in lines)
    opened = any(line.item.id == listing.opened_id for line in lines)
    return Fold(wood, lines, open=own or opened or wood in {"", listing.usual_wood})


def _line(stock: PricedStock, columns: Sequence[int | None], today: date) -> PriceLine:
    in_force = {seen.length_nm: seen for seen in stock.prices}
    cells = tuple(in_force.get(length_nm) for length_nm in columns)
    return PriceLine(stock.item, _detail(stock.item), per_words(stock), cells, _age(stock, today))


def _place(stock: PricedStock) -> tuple[str, int, int, str]:
    """Wood by wood, then from thin to thick and narrow to wide; the rest by name."""
    item = stock.item
    return item.species or "", item.thickness_nm or 0, item.width_nm or 0, item.code


def _detail(item: ItemRow) -> str:
    sizes = [size for size in (item.thickness_nm, item.width_nm, item.length_nm) if size]
    if item.form is StockForm.DIMENSIONAL:
        return " × ".join(map(filters.dimension, sizes[:2]))
    if item.form is StockForm.ROUGH:
        return f"{filters.dimension(sizes[0])} rough"
    if item.form is StockForm.SHEET:
        return " × ".join(map(filters.dimension, sizes))
    return ""


def _age(stock: PricedStock, today: date) -> Age:
    own = [seen for seen in stock.prices if not seen.starting]
    oldest = min(own, key=lambda seen: seen.on, default=None)
    return Age(
        text=_age_of(oldest, today),
        starting=len(stock.prices) - len(own),
        of=len(stock.prices),
        stale=any(seen.stale for seen in own),
    )


def _age_of(seen: Seen | None, today: date) -> str:
    return "" if seen is None or seen.starting else ago((today - seen.on).days)
