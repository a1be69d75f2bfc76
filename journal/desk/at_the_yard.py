"""At the yard: what was bought, and the boards planned again with what is really there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import units
from journal.desk import buying, cutting_plans, photos
from journal.desk.cutting_plans import NOT_KEPT
from journal.desk.purchases import said_of
from journal.errors import BadInput, Conflict
from journal.records.queries import purchases as purchase_records
from journal.records.queries import rack as rack_records
from journal.records.queries import stock as stock_records
from journal.records.queries.purchases import LineRow, PurchaseRow
from journal.records.queries.rack import ActDraft
from journal.records.queries.stock import PriceRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.desk.cutting_plans import Needs
    from journal.records.queries.photos import PhotoDraft


@dataclass(frozen=True, slots=True)
class Replanned:
    """A stock planned again: so much more (or less) than before, and what it takes now."""

    stock: str
    more_cents: int
    needs: Needs


@dataclass(frozen=True, slots=True)
class Bought:
    """One line of a receipt: how many of a line of the list, at what price for one."""

    key: str
    count: float
    price_cents: int


@dataclass(frozen=True, slots=True)
class Receipt:
    """What was bought on one trip; freight and tax are of the whole receipt."""

    lines: tuple[Bought, ...]
    supplier: str = ""
    freight_cents: int = 0
    tax_cents: int = 0
    note: str = ""

    def __post_init__(self) -> None:
        if not self.lines:
            raise BadInput("bought", "", "at least one thing ticked as bought")
        for line in self.lines:
            if not line.count > 0:
                raise BadInput("bought", f"{line.count:g}", "a number over 0")


def buy(
    session: Session,
    project_id: int,
    receipt: Receipt,
    *,
    today: date,
    now: datetime,
    stamp: str | None = None,
    stored: Iterable[PhotoDraft] = (),
) -> PurchaseRow:
    """Keep a receipt with the project; prices that differ from the book's go into the book.

    The cutting plan that boards are bought for is kept with them, unless it is already.

    Args:
        session: a writing session.
        project_id: for which project.
        receipt: what was bought.
        today: the day of the receipt.
        now: the moment, with its zone.
        stamp: of the list the receipt was written from; checked when given.
        stored: photos of it, on the disk already.

    Raises:
        Conflict: the list has changed since.
        BadInput: a line that is not on the list.
    """
    found = buying.shopping(session, project_id, today)
    _require_same(found, stamp)
    on_list = {line.key: line for line in found.lines}
    rows = []
    for line in receipt.lines:
        if line.key not in on_list:
            raise BadInput("bought", line.key, "something on the list")
        wanted = on_list[line.key]
        rows.append(_receipt_line(wanted, line))
        if line.price_cents != wanted.price_cents:
            _see_price(session, wanted, line.price_cents, receipt.supplier, today)
    stocks = {row.stock_code for row in rows}
    for plan in found.plans:
        if plan.lot.stock.code in stocks and plan.standing in NOT_KEPT:
            cutting_plans.keep(session, project_id, plan, now=now)
    kept = purchase_records.add_purchase(
        session,
        PurchaseRow(
            on_date=today,
            supplier=receipt.supplier,
            project_id=project_id,
            freight_cents=receipt.freight_cents,
            tax_cents=receipt.tax_cents,
            note=receipt.note,
            lines=tuple(rows),
        ),
    )
    photos.hang_on_purchase(session, stored, kept.id, now=now)
    act = ActDraft(said=said_of(kept, "bought"), on_date=today, project_id=project_id, purchase_id=kept.id)
    rack_records.record(session, act, now=now)
    return kept


def plan_with(
    session: Session,
    project_id: int,
    there: Mapping[str, Mapping[int, int]],
    *,
    today: date,
    now: datetime,
    stamp: str | None = None,
) -> tuple[Replanned, ...]:
    """Plan again with what is really at the yard, and keep that; stocks about which nothing new is said stay.

    Args:
        session: a writing session.
        project_id: for which project.
        there: by stock code and length in nm, how many boards are to be had; lengths not named are plentiful.
        today: whose prices count.
        now: the moment, with its zone.
        stamp: of the list this was typed beside; checked when given.

    Raises:
        Conflict: the list has changed since.
        NoSolution: it cannot be cut from what is there; nothing is kept.
    """
    found = buying.shopping(session, project_id, today)
    _require_same(found, stamp)
    done = []
    for plan in found.plans:
        code = plan.lot.stock.code
        bought = buying.bought_by_length(found, code)
        limits = {nm: count + bought.get(nm, 0) for nm, count in there.get(code, {}).items()}
        if code not in there or limits == plan.there:
            continue
        again = cutting_plans.replan(plan, limits)
        cutting_plans.keep(session, project_id, again, now=now)
        done.append(Replanned(code, again.cents - plan.cents, again.needs))
    return tuple(done)


def _require_same(found: buying.Shopping, stamp: str | None) -> None:
    if stamp is not None and stamp != found.stamp:
        raise Conflict("the list", "look at it again")


def _receipt_line(wanted: buying.BuyLine, line: Bought) -> LineRow:
    by_foot = wanted.unit == "bd ft"
    return LineRow(
        stock_code=wanted.stock,
        quantity=1.0 if by_foot else line.count,  # a lot of boards in random widths, told by its volume
        board_feet=line.count if by_foot else None,
        price_cents=units.round_half_up(line.count * line.price_cents),
        length_nm=wanted.length_nm or None,
    )


def _see_price(session: Session, wanted: buying.BuyLine, price_cents: int, supplier: str, today: date) -> None:
    item = stock_records.find_item(session, wanted.stock)
    per = next(
        price.per
        for priced in stock_records.stock_items(session, today)
        if priced.item.id == item.id
        for price in priced.prices
    )
    stock_records.add_price(
        session,
        PriceRow(
            item_id=item.id,
            price_cents=price_cents,
            per=per,
            on_date=today,
            length_nm=wanted.length_nm or None,
            supplier=supplier or wanted.supplier,
        ),
    )
