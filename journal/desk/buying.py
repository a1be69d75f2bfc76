"""What a project still has to buy, from whom, at what price and how old that price is; and what was bought."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from journal import units
from journal.build.stock import Rough, Sheet
from journal.desk import cutting_plans, estimate, shelf
from journal.desk.cutting_lots import project_lots
from journal.desk.prices import DAYS_UNTIL_STALE
from journal.desk.shelf import Reach
from journal.errors import BadInput
from journal.records.base import canonical, checksum
from journal.records.queries import purchases as purchase_records
from journal.records.queries import rack as rack_records
from journal.records.queries import shop as shop_records
from journal.records.queries.shop import SettingRow
from journal.records.words import StockForm

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.cutting_plans import InForce
    from journal.desk.estimate import ProjectEstimate
    from journal.quote.costing import Supply
    from journal.quote.takeoff import StockBill
    from journal.records.queries.projects import ProjectRow
    from journal.records.queries.purchases import PurchaseRow
    from journal.records.queries.rack import BoardRow
    from journal.records.queries.stock import PricedItem

# Kept beside the shop's changed allowances; the shop itself has no row for it.
PAPER_SETTING = "paper"
PAPERS = {"us-letter": "Letter", "a4": "A4"}
_USUAL_PAPER = {units.System.INCH: "us-letter", units.System.METRIC: "a4"}


@dataclass(frozen=True, slots=True)
class BuyLine:
    """One thing to buy.

    Attributes:
        key: tells it from the others; part of the name of its boxes.
        stock: its code; length_nm: of a board, 0 otherwise.
        unit: board, sheet, bd ft, container or piece.
        needed: in all, spares counted in; bought: for this project so far.
        spares: of them, for boards that turn out bad.
        price_cents: of one; priced_on: when it was seen, None for a starting price; stale: so long ago that it should be
            looked at again.
        supplier: where that price is from, '' when nobody said.
        more: what else there is to say about the amount.
        stood_in: longer boards bought and not needed as such, that do as well.
        shelf_key: its place on the shelf, where that has some of it for the project or gave it some; else 0.
    """

    key: str
    stock: str
    length_nm: int
    unit: str
    needed: float
    spares: int
    bought: float
    price_cents: int
    priced_on: date | None
    stale: bool
    supplier: str
    more: str = ""
    stood_in: int = 0
    shelf_key: int = 0

    @property
    def left(self) -> float:
        """Still to buy."""
        return max(0.0, self.needed - self.bought - self.stood_in)

    @property
    def cents(self) -> int:
        """What that costs."""
        return units.round_half_up(self.left * self.price_cents)


@dataclass(frozen=True, slots=True)
class Taken:
    """Boards of the rack that a plan cuts, alike; `name` is what its cut sheet calls them."""

    stock: str
    name: str
    boards: tuple[BoardRow, ...]

    @property
    def free(self) -> int:
        """Of them, how many are nobody's yet."""
        return sum(board.there and board.project_id is None for board in self.boards)

    @property
    def drawn(self) -> int:
        """Of them, how many are off the rack already."""
        return sum(not board.there for board in self.boards)


@dataclass(frozen=True, slots=True)
class Shopping:
    """Everything a project buys.

    Attributes:
        found: the estimate it follows from.
        plans: the cutting plan of each stock.
        lines: what is needed, bought or not, in the order of the estimate.
        extra: bought for this project and not needed by it, (stock, length in nm, how many).
        receipts: what was bought, oldest first.
        missing: what has no price, so that it is on no list.
        racked: lines of receipts whose boards went onto the rack one by one, where the plans find them.
        taken: what the plans cut from the rack.
    """

    found: ProjectEstimate
    plans: tuple[InForce, ...]
    lines: tuple[BuyLine, ...]
    extra: tuple[tuple[str, int, float], ...]
    receipts: tuple[PurchaseRow, ...]
    missing: tuple[str, ...]
    racked: frozenset[int] = frozenset()
    taken: tuple[Taken, ...] = ()

    @property
    def saved_cents(self) -> int:
        """How much less is bought than without the rack, at today's prices; boards bought for the project save nothing."""
        own = {line.id for receipt in self.receipts for line in receipt.lines}
        bought = {one.stock for one in self.taken for board in one.boards if board.purchase_line_id in own}
        return sum(plan.saved_cents for plan in self.plans if plan.lot.stock.code not in bought)

    @property
    def project(self) -> ProjectRow:
        """Whose list it is."""
        return self.found.project

    @property
    def cents(self) -> int:
        """What is still to be paid."""
        return sum(line.cents for line in self.lines)

    @property
    def shelved(self) -> tuple[BuyLine, ...]:
        """What the shelf has, or gave."""
        return tuple(line for line in self.lines if line.shelf_key)

    @property
    def stamp(self) -> str:
        """Tells this state of the list from any other, so that nothing is bought twice from an old page."""
        return checksum(canonical([(line.key, line.needed, line.bought, line.stood_in) for line in self.lines]))

    def by_supplier(self) -> tuple[tuple[str, tuple[BuyLine, ...]], ...]:
        """What is still to buy, by where, the dearest trip first."""
        trips: dict[str, list[BuyLine]] = {}
        for line in self.lines:
            if line.left > 0:
                trips.setdefault(line.supplier, []).append(line)
        ranked = sorted(trips.items(), key=lambda trip: (-sum(line.cents for line in trip[1]), trip[0]))
        return tuple((supplier, tuple(lines)) for supplier, lines in ranked)


def shopping(session: Session, project_id: int, today: date) -> Shopping:
    """The list of a project as it stands. A constant number of statements.

    Raises:
        JournalError: it has no parts, or cannot be built as it stands.
    """
    found = estimate.estimate_project(session, project_id, today)
    plans = cutting_plans.in_force(session, project_id, project_lots(session, found))
    receipts = purchase_records.purchases(session, project_id=project_id)
    racked = rack_records.racked_lines(session)
    bought = _amounts_bought(found, receipts, racked)
    lines = tuple(_lines(found, plans, bought, shelf.reach(session, project_id), today))
    wanted = {(line.stock, line.length_nm) for line in lines}
    extra = tuple((code, nm, count) for (code, nm), count in sorted(bought.items()) if (code, nm) not in wanted)
    taken = _taken(session, plans)
    return Shopping(found, plans, lines, extra, receipts, found.made.missing, racked, taken)


def bought_by_length(found: Shopping, stock_code: str) -> dict[int, int]:
    """Whole boards of a stock that were bought for the project, by length in nm."""
    amounts = _amounts_bought(found.found, found.receipts, found.racked)
    return {nm: int(count) for (code, nm), count in amounts.items() if code == stock_code and nm}


def paper(session: Session) -> str:
    """The paper the shop prints on, as it chose or as goes with its units."""
    kept = shop_records.settings(session).get(PAPER_SETTING)
    if kept and kept.value in PAPERS:
        return kept.value
    return _USUAL_PAPER[units.System(shop_records.get_shop(session).system.value)]


def choose_paper(session: Session, chosen: str) -> None:
    """Print on this paper from now on.

    Raises:
        BadInput: it is none of ours.
    """
    if chosen not in PAPERS:
        raise BadInput("paper", chosen, " or ".join(PAPERS.values()))
    shop_records.put_setting(session, SettingRow(key=PAPER_SETTING, value=chosen, unit=""))


def _taken(session: Session, plans: Sequence[InForce]) -> tuple[Taken, ...]:
    """One statement."""
    known = {board.id: board for board in rack_records.get_boards(session, [n for p in plans for n in p.rack_numbers])}
    return tuple(
        Taken(plan.lot.stock.code, board.id, tuple(known[number] for number in numbers))
        for plan in plans
        for board, numbers in plan.from_rack
        if numbers
    )


def _lines(
    found: ProjectEstimate,
    plans: Sequence[InForce],
    bought: Mapping[tuple[str, int], float],
    there: Mapping[str, Reach],
    today: date,
) -> Iterator[BuyLine]:
    items = {priced.item.code: priced for priced in found.shop.items}
    planned = {plan.lot.stock.code: plan for plan in plans}
    for bill in found.made.takeoff.bills:
        item = items[bill.stock.code]
        plan = planned.get(bill.stock.code)
        rough = isinstance(bill.stock, Rough) or plan is None
        listed = (_rough_line(item, bill, plan),) if rough else tuple(_board_lines(item, plan))
        for line in _stood_in([_with_bought(line, bought) for line in listed], bought):
            yield _aged(line, item, today)
    for line in _supply_lines(found, items, there):
        yield _aged(_with_bought(line, bought), items[line.stock], today)


def _with_bought(line: BuyLine, bought: Mapping[tuple[str, int], float]) -> BuyLine:
    return replace(line, bought=bought.get((line.stock, line.length_nm), 0.0))


def _stood_in(lines: Sequence[BuyLine], bought: Mapping[tuple[str, int], float]) -> Iterator[BuyLine]:
    """Boards of one stock: each one missing is made good by the shortest board bought to no use that is long enough."""
    needed = {line.length_nm: line.needed for line in lines}
    spare = {
        nm: int(count - needed.get(nm, 0))
        for (code, nm), count in sorted(bought.items())
        if lines and code == lines[0].stock and nm and count > needed.get(nm, 0)
    }
    done = []
    for line in sorted(lines, key=lambda one: -one.length_nm):
        got = 0
        for nm in sorted(length_nm for length_nm in spare if length_nm > line.length_nm > 0):
            more = min(spare[nm], int(line.left) - got)
            spare[nm] -= more
            got += more
        done.append(replace(line, stood_in=got))
    yield from reversed(done)


def _board_lines(item: PricedItem, plan: InForce) -> Iterator[BuyLine]:
    sheet = isinstance(plan.lot.stock, Sheet)
    prices = {stock.length: stock.price_cents for stock in plan.problem.stock if not stock.on_hand}
    for need in plan.needs.lengths:
        offer = plan.lot.offer(need.length_nm)
        yield BuyLine(
            key=f"{item.item.id}-{need.length_nm}",
            stock=item.item.code,
            length_nm=0 if sheet else need.length_nm,
            unit="sheet" if sheet else "board",
            needed=need.count,
            spares=need.spares,
            bought=0,
            price_cents=offer.price_cents if offer else prices[need.length_nm],
            priced_on=offer.on if offer else None,
            stale=False,
            supplier="",
        )


def _rough_line(item: PricedItem, bill: StockBill, plan: InForce | None) -> BuyLine:
    """Hardwood by the board foot: all of it, or what the boards on the rack do not give."""
    stock = bill.stock
    if not isinstance(stock, Rough):
        raise TypeError(f"{stock.code} is sold by the piece and has a cutting plan")
    needed = round(plan.feet_to_buy, 6) if plan else bill.board_feet
    net = needed * (1 - bill.reject) if plan else bill.net_board_feet
    return BuyLine(
        key=f"{item.item.id}-0",
        stock=stock.code,
        length_nm=0,
        unit="bd ft",
        needed=needed,
        spares=0,
        bought=0,
        price_cents=stock.offer.price_cents,
        priced_on=stock.offer.on,
        stale=False,
        supplier="",
        more=f"{net:.1f} bd ft of blanks{' not on the rack' if plan else ''} and {bill.reject:.0%} waste",
    )


def _supply_lines(
    found: ProjectEstimate, items: Mapping[str, PricedItem], there: Mapping[str, Reach]
) -> Iterator[BuyLine]:
    supplies, takeoff = found.shop.supplies(found.work), found.made.takeoff
    for supply, wanted_ml in ((supplies.glue, takeoff.glue.ml), (supplies.finish, takeoff.finish_ml)):
        if supply is not None and supply.container_ml and wanted_ml:
            of_it = there.get(supply.code, Reach())
            yield _container_line(supply, items[supply.code], wanted_ml, of_it, found.shop.system)
    for word, count in takeoff.hardware:
        supply = supplies.hardware.get(word)
        if supply is not None:
            of_it = there.get(supply.code, Reach())
            more = f"{count} wanted{_on_shelf(of_it, '{:,.0f}'.format)}" if of_it.there or of_it.had else ""
            line = _piece_line(supply, items[supply.code], math.ceil(of_it.to_buy(count)), "piece", more)
            yield replace(line, shelf_key=_shelf_key(items[supply.code], of_it))


def _container_line(supply: Supply, item: PricedItem, wanted_ml: float, of_it: Reach, system: units.System) -> BuyLine:
    """Whole containers, less what is on the shelf."""
    count = math.ceil(round(of_it.to_buy(wanted_ml) / supply.container_ml, 9))
    liquid = partial(units.format_liquid, system=system)
    more = f"{liquid(wanted_ml)} wanted{_on_shelf(of_it, liquid)}"
    return replace(_piece_line(supply, item, count, "container", more), shelf_key=_shelf_key(item, of_it))


def _shelf_key(item: PricedItem, of_it: Reach) -> int:
    return item.item.id if of_it.there or of_it.had else 0


def _on_shelf(of_it: Reach, said: Callable[[float], str]) -> str:
    """What the shelf has for the project, and gave it so far."""
    had = f", {said(of_it.had)} taken there" if of_it.had else ""
    return had + (f", {said(of_it.there)} on the shelf" if of_it.there else "")


def _piece_line(supply: Supply, item: PricedItem, count: int, unit: str, more: str) -> BuyLine:
    return BuyLine(
        key=f"{item.item.id}-0",
        stock=supply.code,
        length_nm=0,
        unit=unit,
        needed=count,
        spares=0,
        bought=0,
        price_cents=supply.price_cents,
        priced_on=supply.on,
        stale=False,
        supplier="",
        more=more,
    )


def _aged(line: BuyLine, item: PricedItem, today: date) -> BuyLine:
    prices = {price.length_nm or 0: price for price in item.prices}
    price = prices.get(line.length_nm) or prices.get(0)
    old = line.priced_on is None or (today - line.priced_on).days > DAYS_UNTIL_STALE
    return replace(line, stale=old, supplier=(price.supplier if price else "") or item.item.supplier)


def _amounts_bought(
    found: ProjectEstimate, receipts: Sequence[PurchaseRow], racked: frozenset[int]
) -> dict[tuple[str, int], float]:
    """Bought so far by stock and, for boards sold by the length, length; hardwood in board feet; the rack's left out."""
    forms = {priced.item.code: priced.item.form for priced in found.shop.items}
    amounts: dict[tuple[str, int], float] = defaultdict(float)
    for receipt in receipts:
        for line in receipt.lines:
            if line.id in racked:
                continue
            form = forms.get(line.stock_code)
            length_nm = line.length_nm or 0 if form is StockForm.DIMENSIONAL else 0
            amount = line.board_feet if form is StockForm.ROUGH and line.board_feet else line.quantity
            amounts[line.stock_code, length_nm] += amount
    return amounts
