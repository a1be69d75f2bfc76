"""What happened to each thing on the shelf, read from the journal: receipts, glue-ups, coats, counts, projects that are over.

Each has its day and, on it, the moment that is known; what has none comes before what has, so that a count includes it.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import UTC, date, datetime
from fractions import Fraction
from typing import TYPE_CHECKING

from journal import reference, units
from journal.desk.allowances import allowances
from journal.desk.purchases import bought
from journal.desk.rack import projects_by_id
from journal.quote.landed import landed
from journal.quote.shelf import Event, Kind
from journal.records.queries import floor
from journal.records.queries import shelf as records
from journal.records.queries import shop as shop_records
from journal.records.words import FINISHED, WOOD, ProjectState, ShelfMoveKind, StockForm

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from sqlalchemy.orm import Session

    from journal.records.queries.purchases import LineRow, PurchaseRow
    from journal.records.queries.stock import ItemRow, PricedItem

PARTS = 1_000  # an amount is kept in thousandths of a millilitre or of a piece, so that sums are exact
START = date.min  # of what was there before anybody typed anything in
_LIQUID = (StockForm.ADHESIVE, StockForm.FINISH)
_OVER = (*FINISHED, ProjectState.CANCELLED)
_MM2_PER_SQUARE_METRE = 1_000_000
_DAWN = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Place:
    """One thing on the shelf, with those that are poured alike: a quart and a gallon of one finish are one thing.

    Attributes:
        item: the one it is called by.
        others: alike.
    """

    item: ItemRow
    others: tuple[ItemRow, ...] = ()

    @property
    def key(self) -> int:
        """Tells it from the others."""
        return self.item.id

    @property
    def ids(self) -> tuple[int, ...]:
        """Of all of them."""
        return (self.item.id, *(one.id for one in self.others))

    @property
    def liquid(self) -> bool:
        """Told in millilitres; else in pieces."""
        return self.item.container_ml is not None


@dataclass(frozen=True, slots=True)
class Happened:
    """One thing that happened to a place: what, when, how much, for or by whom, from which receipt it came."""

    event: Event
    on: date
    said: str
    purchase_id: int | None = None

    @property
    def amount(self) -> float:
        return self.event.amount / PARTS


def places_of(items: Iterable[ItemRow]) -> tuple[Place, ...]:
    """Where each of these stands; wood is on the rack."""
    alike: dict[tuple[StockForm, str], list[ItemRow]] = defaultdict(list)
    for item in items:
        if item.form not in WOOD:
            pours = item.form in _LIQUID and item.class_key and item.container_ml
            alike[item.form, item.class_key if pours and item.class_key else item.code].append(item)
    return tuple(Place(each[0], tuple(each[1:])) for each in alike.values())


class Events:
    """What happened to each place, with its moment: the day, and on it what is known to be later."""

    def __init__(self, session: Session, of_item: Mapping[int, Place], priced: Sequence[PricedItem]) -> None:
        self._session = session
        self._of_item = of_item
        self._by_code = {one.item.code: one for one in priced}
        self._codes = frozenset(item.code for place in of_item.values() for item in (place.item, *place.others))
        self._by_class = {
            (place.item.form, place.item.class_key): place for place in of_item.values() if place.item.class_key
        }
        self._projects = projects_by_id(session)
        self._settings = allowances({key: (one.value, one.unit) for key, one in shop_records.settings(session).items()})
        self._shop = shop_records.get_shop(session)
        self._found: dict[int, list[tuple[tuple[date, datetime], Happened]]] = defaultdict(list)
        self._poured: set[tuple[int, int]] = set()  # (place, project) of which a glue-up or coat tells
        self._ends: dict[tuple[int, int], tuple[date, int]] = {}  # (place, project) → when it was over, what it left

    def all(self) -> dict[int, list[tuple[tuple[date, datetime], Happened]]]:
        """By the key of the place, in no order."""
        for place in {place.key: place for place in self._of_item.values()}.values():
            if place.item.on_hand:  # there before anything was typed in
                self._put(place, START, _DAWN, Event(Kind.COUNTED, parts_of(place.item.on_hand)), "there at the start")
        self._glue_ups()
        self._coats()
        self._receipts()
        self._end_all()
        self._moves()
        return self._found

    def _put(
        self, place: Place, on: date, at: datetime | None, event: Event, what: str, purchase_id: int | None = None
    ) -> None:
        self._found[place.key].append(((on, at or _DAWN), Happened(event, on, what, purchase_id)))

    def _glue_ups(self) -> None:
        for row in floor.glue_ups(self._session):
            project = self._projects.get(row.project_id)
            adhesive = (project.adhesive if project else None) or self._shop.default_adhesive
            place = self._by_class.get((StockForm.ADHESIVE, adhesive))
            if place is None or not place.liquid:
                continue
            ml = self._reckoned(adhesive, row.area_mm2) if row.glue_ml is None else row.glue_ml
            what = f"glued {row.label}" + ("" if row.glue_ml is not None else ", reckoned from its area")
            self._poured.add((place.key, row.project_id))
            self._put(place, row.on_date, row.clamped_at, Event(Kind.TAKEN, parts_of(ml), row.project_id), what)

    def _reckoned(self, adhesive: str, area_mm2: int) -> float:
        spread = reference.adhesives()[adhesive].spread_ml_m2
        return area_mm2 / _MM2_PER_SQUARE_METRE * spread * self._settings["glue_waste_factor"]

    def _coats(self) -> None:
        for row in floor.coats(self._session):
            place = self._by_class.get((StockForm.FINISH, row.finish))
            if place is None or not place.liquid:
                continue
            self._poured.add((place.key, row.project_id))
            taken = Event(Kind.TAKEN, parts_of(row.amount_ml), row.project_id)
            self._put(place, row.on_date, row.at, taken, f"coat {row.coat}")

    def _receipts(self) -> None:
        typed = records.typed_in(self._session)
        for receipt in bought(self._session):
            if not any(line.stock_code in self._codes for line in receipt.lines):
                continue
            prices = [line.price_cents for line in receipt.lines]
            whole = landed(prices, freight_cents=receipt.freight_cents, tax_cents=receipt.tax_cents)
            for line, cost in zip(receipt.lines, whole, strict=True):
                self._line(receipt, line, cost.cents, typed.get(receipt.id))

    def _line(self, receipt: PurchaseRow, line: LineRow, cents: int, typed: datetime | None) -> None:
        priced = self._by_code.get(line.stock_code)
        place = self._of_item.get(priced.item.id) if priced else None
        if priced is None or place is None:
            return
        one = priced.item.container_ml if place.liquid else 1.0
        amount = parts_of(line.quantity * (one or 1.0))
        came = Event(Kind.BOUGHT, amount, receipt.project_id, cents)
        where = f" at {receipt.supplier}" if receipt.supplier else ""
        self._put(place, receipt.on_date, typed, came, f"bought{where}", receipt.id)
        if receipt.project_id is not None:
            self._note_end(place, receipt, line, amount)

    def _note_end(self, place: Place, receipt: PurchaseRow, line: LineRow, amount: int) -> None:
        """Of a project that is over: what of this line it left. Of hardware nobody says more than its receipt does."""
        project = self._projects[receipt.project_id or 0]
        if project.state not in _OVER:
            return
        if line.used_quantity is not None:
            gone = _share(amount, line.used_quantity + (line.rejected_quantity or 0), line.quantity)
        else:
            kept = project.state is ProjectState.CANCELLED or (place.key, project.id) in self._poured
            gone = 0 if kept else amount
        on, left = self._ends.get((place.key, project.id), (project.delivered_on or receipt.on_date, 0))
        self._ends[place.key, project.id] = (max(on, receipt.on_date), left + amount - gone)

    def _end_all(self) -> None:
        places = {place.key: place for place in self._of_item.values()}
        late = datetime.max.replace(tzinfo=UTC)
        for (key, project_id), (on, left) in self._ends.items():
            self._put(places[key], on, late, Event(Kind.LEFT, left, project_id), "left over")
            self._put(places[key], on, late, Event(Kind.OVER, project_id=project_id), "over; what it had left is free")

    def _moves(self) -> None:
        for row in records.moves(self._session):
            place = self._of_item.get(row.item_id)
            if place is None:
                continue
            amount = parts_of(row.amount)
            if row.kind is ShelfMoveKind.COUNTED:
                event, what = Event(Kind.COUNTED, amount, cents=self._worth(place, amount)), "counted"
            else:
                event, what = Event(Kind.TAKEN, amount, row.project_id), row.why or "taken"
            self._put(place, row.on_date, row.at, event, what)

    def _worth(self, place: Place, amount: int) -> int:
        """What so much costs by the price book of now."""
        prices = self._by_code[place.item.code].prices
        if not prices:
            return 0
        one = parts_of(place.item.container_ml or 1.0)
        return units.round_half_up(Fraction(prices[0].price_cents * amount, one))


def parts_of(amount: float) -> int:
    """Thousandths."""
    return round(amount * PARTS)


def _share(amount: int, of: float, whole: float) -> int:
    return min(amount, round(amount * of / whole))
