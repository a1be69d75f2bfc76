"""The shelf: how much glue, finish, hardware and consumables is there, whose it is, what it cost; counted, taken.

Nothing of it is kept as a sum. Receipts bring it, glue-ups and coats take it, counts put it right; whatever of these is
corrected or taken back is so on the shelf too. An estimate never looks here: what a bench costs does not hang on what lies
about. What a glue-up took that nobody measured is reckoned from its area at the shop's own spread, a rule of thumb.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from types import MappingProxyType
from typing import TYPE_CHECKING

from journal import units
from journal.desk.rack import projects_by_id
from journal.desk.remembered import Remembered
from journal.desk.shelf_events import PARTS, START, Events, Happened, Place, places_of
from journal.errors import BadInput, Conflict, MissingReference
from journal.quote.shelf import Kind, Standing, run
from journal.records.queries import rack as rack_records
from journal.records.queries import stock as stock_records
from journal.records.queries.rack import ActDraft
from journal.records.queries.shelf import ShelfDraft
from journal.records.words import ShelfMoveKind
from journal.working import counted as count_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

    from journal.records.queries.rack import ActRow

LONGEST_WHY = 200
MOST = 1_000_000  # millilitres or pieces of anything


@dataclass(frozen=True, slots=True)
class Reach:
    """What there is of one thing for a project; millilitres or pieces.

    Attributes:
        free: nobody's.
        own: left of what was bought for it.
        had: what it took that was not bought for it.
        used: everything it took.
    """

    free: float = 0.0
    own: float = 0.0
    had: float = 0.0
    used: float = 0.0

    @property
    def there(self) -> float:
        """What it may take from now on."""
        return self.free + self.own

    def to_buy(self, wanted: float) -> float:
        """What it has to buy in all, of so much that it wants in all: the shelf, and what it took there, left out."""
        return max(0.0, wanted - self.had - self.free)

    def still_to_buy(self, wanted: float) -> float:
        """The same less what was bought for it."""
        return max(0.0, wanted - self.used - self.there)


@dataclass(frozen=True, slots=True)
class OnShelf:
    """A place as it stands; amounts in millilitres or pieces.

    Attributes:
        place, standing: which, and how it stands.
        story: what happened to it, oldest first.
        counted_on: the day it was last counted; None when it never was.
    """

    place: Place
    standing: Standing
    story: tuple[Happened, ...]
    counted_on: date | None

    @property
    def amount(self) -> float:
        return self.standing.amount / PARTS

    @property
    def free(self) -> float:
        return self.standing.free / PARTS

    @property
    def own(self) -> tuple[tuple[int, float], ...]:
        """What is left of what was bought for a project: (its id, how much)."""
        return tuple((project_id, amount / PARTS) for project_id, (amount, _) in self.standing.own.items())

    def reach(self, project_id: int) -> Reach:
        """What there is of it for a project."""
        used = self.standing.used.get(project_id)
        own, _ = self.standing.own.get(project_id, (0, 0))
        drawn, _ = self.standing.drawn.get(project_id, (0, 0))
        had = drawn + (used.beyond if used else 0)
        return Reach(self.free, own / PARTS, had / PARTS, (used.amount + used.beyond) / PARTS if used else 0.0)


Shelf = MappingProxyType[int, OnShelf]

_shelf: Remembered[Shelf] = Remembered(2)


def shelf(session: Session) -> Mapping[int, OnShelf]:
    """Everything that may stand there, by the id of each stock item. Few statements; the same journal is read once."""
    return _shelf.of_journal(session, None, lambda: _read(session))


def places(session: Session) -> tuple[OnShelf, ...]:
    """Everything that may stand there, each once, by what it is and its name."""
    found = {one.place.key: one for one in shelf(session).values()}
    return tuple(sorted(found.values(), key=lambda one: (one.place.item.form.value, one.place.item.code)))


def listed(session: Session) -> tuple[OnShelf, ...]:
    """What stands there, or ever did."""
    return tuple(one for one in places(session) if one.story)


def get(session: Session, key: int) -> OnShelf:
    """One thing.

    Raises:
        MissingReference: nothing of that number stands on a shelf.
    """
    found = shelf(session).get(key)
    if found is None:
        raise MissingReference("thing on the shelf", str(key), [one.place.item.code for one in listed(session)])
    return found


def reach(session: Session, project_id: int) -> dict[str, Reach]:
    """What there is for a project, by the code of each stock item."""
    places = {one.place.key: one for one in shelf(session).values()}
    return {item.code: one.reach(project_id) for one in places.values() for item in (one.place.item, *one.place.others)}


def count(counted: Mapping[int, tuple[float, float]], there: Mapping[int, OnShelf], today: date) -> list[ShelfDraft]:
    """A stock-take: for each place counted, how much was listed and how much is there.

    Raises:
        Conflict: it is not as it was listed.
        BadInput: less than nothing, or more than any shop has.
    """
    drafts = []
    for key, (said, found) in counted.items():
        one = there.get(key)
        if one is None or abs(one.amount - said) > 1 / PARTS:
            raise Conflict("the shelf", "count from the list as it is now")
        _require_amount(found)
        if found != one.amount or one.counted_on != today:
            drafts.append(ShelfDraft(item_id=key, kind=ShelfMoveKind.COUNTED, amount=found, on_date=today))
    return drafts


def take(
    session: Session, key: int, amount: float, project_id: int | None, why: str, *, today: date, now: datetime
) -> ActRow:
    """Take something off the shelf: for a project, or because it is spoilt or lost.

    Raises:
        BadInput: nothing, more than is there for it, or neither a project nor a reason.
        MissingReference: no such project.
    """
    one = get(session, key)
    if project_id is None and not why.strip():
        raise BadInput("why", "", "what became of it, or the project it is for")
    if len(why) > LONGEST_WHY:
        raise BadInput("why", why, f"at most {LONGEST_WHY} characters")
    may = one.free + dict(one.own).get(project_id or 0, 0.0)
    if not 0 < amount <= may:
        raise BadInput(
            "how much", f"{amount:g}", f"more than nothing, at most the {said(one.place, may)} that are there"
        )
    code = projects_by_id(session)[project_id].code if project_id in projects_by_id(session) else ""
    if project_id is not None and not code:
        raise BadInput("for", project_id, "a project")
    move = ShelfDraft(
        item_id=key,
        kind=ShelfMoveKind.TAKEN,
        amount=amount,
        on_date=today,
        project_id=project_id,
        why=why.strip(),
    )
    what = f"{said(one.place, amount)} of {one.place.item.code} taken " + (
        f"for {code}" if code else f"off: {why.strip()}"
    )
    return rack_records.record(
        session, ActDraft(said=what, on_date=today, project_id=project_id, shelf=[move]), now=now
    )


def said(place: Place, amount: float) -> str:
    """An amount in words, the same in every shop."""
    return f"{amount:,.0f} ml" if place.liquid else count_of(round(amount), "piece")


def cents_of(one: OnShelf, project_id: int, amount: float, book_cents: float) -> int:
    """What so much of it cost a project: what it took at what that cost, what nobody ever typed in by the price book.

    Args:
        one: a thing on the shelf.
        project_id: who used it.
        amount: millilitres or pieces.
        book_cents: for one of these, by the price book.
    """
    used = one.standing.used.get(project_id)
    if used is None or not used.amount:
        return units.round_half_up(Fraction(amount) * Fraction(book_cents))
    known = Fraction(used.amount, used.amount + used.beyond)
    each = known * Fraction(used.cents * PARTS, used.amount) + (1 - known) * Fraction(book_cents)
    return units.round_half_up(Fraction(amount) * each)


def drawn(one: OnShelf, project_id: int) -> tuple[float, int]:
    """What a project took of what was nobody's, and what that cost."""
    amount, cents = one.standing.drawn.get(project_id, (0, 0))
    return amount / PARTS, cents


def _require_amount(amount: float) -> None:
    if not 0 <= amount <= MOST:
        raise BadInput("there", f"{amount:g}", f"from 0 to {MOST:,}")


def _read(session: Session) -> Shelf:
    priced = stock_records.stock_items(session, date.max)
    places = places_of(one.item for one in priced)
    of_item = {item.id: place for place in places for item in (place.item, *place.others)}
    happened = Events(session, of_item, priced).all()
    found = {place.key: _on_shelf(place, happened.get(place.key, [])) for place in places}
    return MappingProxyType({item_id: found[place.key] for item_id, place in of_item.items()})


def _on_shelf(place: Place, dated: list[tuple[tuple[date, datetime], Happened]]) -> OnShelf:
    story = tuple(one for _, one in sorted(dated, key=lambda pair: pair[0]))
    counts = [one.on for one in story if one.event.kind is Kind.COUNTED and one.on > START]
    return OnShelf(place, run(one.event for one in story), story, counts[-1] if counts else None)
