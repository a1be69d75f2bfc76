"""The journal's receipts, glue-ups, coats and hours as ratios: what came over what was expected.

What is expected holds the shop's settings as they are now (or the price book of the day), so that one means 'as set'.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.finishing import surface_of
from journal.build.milling import mill
from journal.desk import parts
from journal.desk.backtest import finished
from journal.desk.paces import logged
from journal.desk.purchases import bought
from journal.desk.rack import projects_by_id
from journal.desk.remembered import Remembered
from journal.desk.shop import Work
from journal.errors import JournalError
from journal.pace.backtest import unplanned
from journal.pace.ratios import Kind, Seen
from journal.records.queries import floor, hours, rack_flow
from journal.records.queries import imports as import_records
from journal.records.queries import rack as rack_records
from journal.records.queries import stock as stock_records
from journal.records.queries.quoted import quoted_plans
from journal.records.words import FINISHED, PricePer, RackMoveKind, StockForm

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from sqlalchemy.orm import Session

    from journal.build.milling import MillingRules
    from journal.build.stock import StockBook
    from journal.desk.paces import Taught
    from journal.desk.shop import ShopView
    from journal.records.queries.floor import CoatRow, GlueUpRow
    from journal.records.queries.plans import PartRow
    from journal.records.queries.projects import ProjectRow
    from journal.records.queries.purchases import LineRow, PurchaseRow
    from journal.records.queries.quoted import QuotedPlan
    from journal.records.queries.rack_flow import CostMove
    from journal.records.queries.stock import ItemRow, PriceRow

_MM2_PER_SQUARE_METRE = 1_000_000
LUMBER = (StockForm.DIMENSIONAL, StockForm.ROUGH)
_FULL_WEEK = timedelta(days=7)
RACK = "rack"  # whose glue and boards belong to no project


def observe(session: Session, shop: ShopView, today: date, taught: Taught | None) -> dict[Kind, tuple[Seen, ...]]:
    """Everything the journal can compare, by kind."""
    records = _Records(session, shop, today, taught)
    return {
        Kind.GLUE: tuple(records.glue()),
        Kind.FINISH: tuple(records.finish()),
        Kind.YIELD: tuple(records.lumber()),
        Kind.REJECTS: tuple(records.rejects()),
        Kind.PRICE: tuple(records.prices()),
        Kind.REWORK: tuple(records.rework()),
        Kind.UNPLANNED: tuple(records.unplanned()),
        Kind.BENCH_HOURS: tuple(records.weeks_at_the_bench()),
        Kind.WEEKS: tuple(records.weeks_promised()),
    }


def of_project(session: Session, shop: ShopView, today: date, code: str) -> dict[Kind, tuple[Seen, ...]]:
    """What was poured and paid for one project, compared as for all of them."""
    records = _Records(session, shop, today, None)
    found = {Kind.GLUE: records.glue(), Kind.FINISH: records.finish(), Kind.PRICE: records.prices()}
    return {kind: tuple(one for one in seen if one.project == code) for kind, seen in found.items()}


def weeks_at_the_bench(session: Session, shop: ShopView, today: date) -> tuple[Seen, ...]:
    """Hours logged in whole weeks, compared as for all of them, and nothing else read. One query."""
    return tuple(_Records(session, shop, today, None).weeks_at_the_bench())


@dataclass(frozen=True)
class _Records:
    """What is read once and used by several comparisons."""

    session: Session
    shop: ShopView
    today: date
    taught: Taught | None

    @cached_property
    def projects(self) -> Mapping[int, ProjectRow]:
        return projects_by_id(self.session)

    @cached_property
    def plans(self) -> tuple[QuotedPlan, ...]:
        return quoted_plans(self.session, states=tuple({one.state for one in self.projects.values()}), with_parts=True)

    @cached_property
    def receipts(self) -> tuple[PurchaseRow, ...]:
        return bought(self.session)

    @cached_property
    def items(self) -> dict[str, ItemRow]:
        return {priced.item.code: priced.item for priced in self.shop.items}

    def glue(self) -> Iterator[Seen]:
        waste, known = self.shop.allowances["glue_waste_factor"], reference.adhesives()
        for row in _glue_ups.of_journal(self.session, None, lambda: floor.glue_ups(self.session)):
            project = self.projects[row.project_id]
            adhesive = project.adhesive or self.shop.row.default_adhesive
            if row.glue_ml is None or adhesive not in known:
                continue
            expected = row.area_mm2 / _MM2_PER_SQUARE_METRE * known[adhesive].spread_ml_m2 * waste
            yield Seen(project.code, row.on_date, adhesive, adhesive, expected, row.glue_ml)

    def finish(self) -> Iterator[Seen]:
        known = reference.finishes()
        thirst = {plan.project_id: _end_share(plan.parts) for plan in self.plans}
        for row in _coats.of_journal(self.session, None, lambda: floor.coats(self.session)):
            if row.finish in known:
                expected = self._finish_ml(row, thirst.get(row.project_id, 0.0))
                code = self.projects[row.project_id].code
                yield Seen(code, row.on_date, row.finish, coat_word(row.coat), expected, row.amount_ml)

    def _finish_ml(self, row: CoatRow, end_share: float) -> float:
        found = reference.finishes()[row.finish]
        cover = found.coverage_first_ft2_gal if row.coat == 1 else found.coverage_later_ft2_gal
        square_feet = units.square_feet(row.area_mm2 * units.NM_PER_MM**2)
        thirsty = square_feet * (1 + (found.end_grain_factor - 1) * end_share)
        return thirsty / cover * units.ML_PER_GALLON * self.shop.allowances["finish_waste_factor"]

    def _lines(self) -> Iterator[tuple[PurchaseRow, LineRow, ItemRow]]:
        for receipt in self.receipts:
            for line in receipt.lines:
                if line.stock_code in self.items:
                    yield receipt, line, self.items[line.stock_code]

    def _whose(self, receipt: PurchaseRow) -> str:
        return self.projects[receipt.project_id].code if receipt.project_id else RACK

    def rejects(self) -> Iterator[Seen]:
        for receipt, line, item in self._lines():
            key = REJECT_SETTINGS.get(item.form)
            if key is None or line.rejected_quantity is None:
                continue
            good = line.quantity - line.rejected_quantity
            expected = good / (1 - self.shop.allowances[key])
            yield Seen(self._whose(receipt), receipt.on_date, item.form.value, item.form.value, expected, line.quantity)

    def lumber(self) -> Iterator[Seen]:
        """Board feet that a finished project bought or drew and did not put back, over those of its blanks.

        Boards that went over the rack one by one are told by its moves, the rest by what became of their receipt's line.
        """
        taken: Counter[tuple[int, str]] = Counter()
        last: dict[int, date] = {}
        racked = rack_records.racked_lines(self.session)
        for receipt, line, item in self._lines():
            told = line.used_quantity is not None and line.id not in racked
            if item.form in LUMBER and receipt.project_id and told:
                gone = (line.used_quantity or 0) + (line.rejected_quantity or 0)
                taken[receipt.project_id, item.code] += board_feet(line, item) * gone / line.quantity
                last[receipt.project_id] = receipt.on_date
        for move in _moves.of_journal(self.session, None, lambda: rack_flow.cost_moves(self.session)):
            drawn, back = move.kind is RackMoveKind.DRAWN, move.kind is RackMoveKind.RETURNED and move.offcut
            item = self.items.get(move.stock_code)
            if item and item.form in LUMBER and move.project_id and (drawn or back):
                taken[move.project_id, item.code] -= move.board_feet
                last[move.project_id] = max(move.on_date, last.get(move.project_id, move.on_date))
        for plan in self.plans:
            if plan.project_id in last and self.projects[plan.project_id].state in FINISHED:
                for code, net in blanks_feet(self.shop, plan.parts, plan.benches).items():
                    if taken[plan.project_id, code]:
                        item = self.items[code]
                        on, bought = last[plan.project_id], taken[plan.project_id, code]
                        yield Seen(plan.code, on, item.form.value, item.species or code, net, bought)

    def prices(self) -> Iterator[Seen]:
        history: dict[int, tuple[PriceRow, ...]] = {}
        for receipt, line, item in self._lines():
            if not item.id:
                continue
            if item.id not in history:
                history[item.id] = _history(self.session, item.id)
            project = self.projects[receipt.project_id] if receipt.project_id else None
            day = (project.agreed_on if project else None) or receipt.on_date
            expected = book_cents(line, item, history[item.id], min(day, receipt.on_date))
            if expected and line.price_cents:
                group = item.species or item.form.value
                yield Seen(self._whose(receipt), receipt.on_date, group, item.code, expected, line.price_cents)

    def rework(self) -> Iterator[Seen]:
        again: Counter[str] = Counter()
        other: Counter[str] = Counter()
        newest: dict[str, date] = {}
        silent = import_records.silent_about_rework(self.session)
        done = {one.code for one in self.projects.values() if one.state in FINISHED and one.id not in silent}
        for row in logged(self.session):
            if row.project_code in done and not row.set_aside and row.on_date <= self.today:
                (again if row.rework else other)[row.project_code] += row.minutes
                newest[row.project_code] = row.on_date
        for code, minutes in other.items():
            if minutes:
                expected = minutes * (1 + rework_share())
                yield Seen(code, newest[code], "hours", "hours", expected, minutes + again[code])

    def unplanned(self) -> Iterator[Seen]:
        share = 1 + self.shop.allowances["unplanned_share"]
        for past in finished(self.session, self.today, taught=self.taught)[0]:
            if not past.as_built:
                seen = unplanned(past)
                yield Seen(seen.project, seen.on, seen.group, seen.item, seen.expected * share, seen.actual)

    def weeks_at_the_bench(self) -> Iterator[Seen]:
        """Whole weeks with any time."""
        weeks: Counter[date] = Counter()
        for row in hours.minutes_by_day(self.session):
            weeks[row.on_date - timedelta(days=row.on_date.weekday())] += row.minutes
        for monday, minutes in weeks.items():
            if monday + _FULL_WEEK <= self.today and minutes:
                expected = float(self.shop.row.minutes_per_week)
                yield Seen(monday.isoformat(), monday + _FULL_WEEK, "weeks", "weeks", expected, minutes)

    def weeks_promised(self) -> Iterator[Seen]:
        for project in self.projects.values():
            if project.state in FINISHED and project.agreed_on and project.delivered_on and project.agreed_minutes:
                weeks = (project.delivered_on - project.agreed_on).days / 7
                promised = project.agreed_minutes / self.shop.row.minutes_per_week
                yield Seen(project.code, project.delivered_on, "weeks", "weeks", promised, weeks)


# Most writing touches few tables: what is read of the others is read once.
_glue_ups: Remembered[tuple[GlueUpRow, ...]] = Remembered(1)
_coats: Remembered[tuple[CoatRow, ...]] = Remembered(1)
_moves: Remembered[tuple[CostMove, ...]] = Remembered(1)
_histories: Remembered[tuple[PriceRow, ...]] = Remembered(128)


def _history(session: Session, item_id: int) -> tuple[PriceRow, ...]:
    return _histories.of_journal(session, item_id, lambda: stock_records.price_history(session, item_id))


class _NetBoardFeet:
    """Board feet in the blanks of a plan, by stock code, by one shop’s rules; worked out once for the same parts."""

    def __init__(self, book: StockBook, rules: MillingRules, items: Mapping[str, ItemRow]) -> None:
        self._book, self._rules, self._items = book, rules, items
        self._known: dict[tuple[object, int], dict[str, float]] = {}

    def of(self, listed: tuple[PartRow, ...], benches: int) -> Mapping[str, float]:
        """Nothing when any part can no longer be milled."""
        key = (listed, benches)
        if key not in self._known:
            self._known[key] = self._work_out(listed, benches)
        return self._known[key]

    def _work_out(self, listed: tuple[PartRow, ...], benches: int) -> dict[str, float]:
        found: Counter[str] = Counter()
        for part in parts.from_rows(listed):
            try:
                milled = mill(part, self._book, self._rules, benches=benches)
            except JournalError:  # stock no longer bought, or machines sold since: nothing to compare with
                return {}
            item = self._items[milled.stock.code]
            if item.form in LUMBER:
                extra_nm = self._rules.segment_extra_nm if item.form is StockForm.ROUGH else 0
                size = milled.blank_width_nm * (milled.blank_length_nm + extra_nm) * (item.thickness_nm or 0)
                found[item.code] += units.board_feet(milled.blanks * size)
        return dict(found)


_netted: Remembered[_NetBoardFeet] = Remembered(2)


def blanks_feet(shop: ShopView, listed: tuple[PartRow, ...], benches: int) -> Mapping[str, float]:
    """Board feet in the blanks of a plan, by stock code, each as thick as the board it comes from.

    Nothing when any part can no longer be milled.
    """
    rests_on = (shop.items, shop.machines, shop.allowances, shop.row)
    items = {priced.item.code: priced.item for priced in shop.items}
    net = _netted.get(rests_on, lambda: _NetBoardFeet(shop.book(), shop.rules(Work()).milling, items))
    return net.of(listed, benches)


REJECT_SETTINGS: Mapping[StockForm, str] = {
    StockForm.DIMENSIONAL: "reject_softwood",
    StockForm.SHEET: "reject_sheet",
}


def coat_word(coat: int) -> str:
    """Coats told apart: the thirsty first, and the later ones."""
    return "first coat" if coat == 1 else "later coats"


def rework_share() -> float:
    """Rework for each minute of other work, by the starting book."""
    return reference.operations()["rework"].minutes_per_unit / 60


@lru_cache(maxsize=4096)
def _end_share(listed: tuple[PartRow, ...]) -> float:
    """How much of the surface is end grain."""
    surfaces = [(part.quantity, surface_of(part)) for part in parts.from_rows(listed)]
    area = sum(count * found.area_nm2 for count, found in surfaces)
    return sum(count * found.end_nm2 for count, found in surfaces) / area if area else 0.0


def board_feet(line: LineRow, item: ItemRow) -> float:
    """Of a whole line: as written on the receipt, else dressed size × length × count."""
    if item.form is StockForm.ROUGH and line.board_feet:
        return line.board_feet
    length_nm = line.length_nm or item.length_nm or 0
    return units.board_feet((item.thickness_nm or 0) * (item.width_nm or 0) * length_nm) * line.quantity


def book_cents(line: LineRow, item: ItemRow, history: Sequence[PriceRow], on: date) -> float:
    """What the price book of a day says the line costs; 0 when it says nothing. `history` is newest first."""
    for price in history:
        if price.on_date <= on and price.length_nm in (None, line.length_nm):
            return price.price_cents * _counted(line, item, price.per)
    return 0.0


def _counted(line: LineRow, item: ItemRow, per: PricePer) -> float:
    if per is PricePer.BOARD_FOOT:
        return line.board_feet or 0.0
    if per is PricePer.FOOT:
        return line.quantity * units.to_feet(line.length_nm or item.length_nm or 0)
    return line.quantity
