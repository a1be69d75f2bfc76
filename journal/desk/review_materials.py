"""The materials of a finished job: how much of the wood was waste, what went to the rack, what was paid and poured.

Waste is told with the blanks of the plan in force, at the shop's settings of now: of what was to be bought by it, and of
what is gone. Prices, glue and finish are compared as the ratios of the shop are (`journal.desk.ratio_records`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import units
from journal.build.stock import Dimensional, Sheet
from journal.desk import parts, ratio_records
from journal.desk.estimate import work_of
from journal.desk.remembered import Remembered
from journal.desk.review import review
from journal.desk.shop import read_shop
from journal.errors import JournalError
from journal.pace.ratios import Kind
from journal.quote.takeoff import take_off
from journal.quote.wood_used import Against, WoodUsed, together
from journal.records.queries import plans

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.review_actual import MaterialLine
    from journal.desk.shop import ShopView
    from journal.pace.ratios import Seen
    from journal.quote.takeoff import StockBill
    from journal.records.queries.projects import ProjectRow

ALL_WOOD = "all of it"


@dataclass(frozen=True, slots=True)
class Reckoned:
    """What became of the materials.

    Attributes:
        woods: by stock; whole: together. None without any wood noted.
        left_cents: what went to the rack, at cost.
        paid: on receipts, against the price book of the day agreed, before freight and tax; None where nothing compares.
        on_top_cents: freight and tax on what was used.
        glue, finish: poured, against what the areas logged should take, ml; None where nothing was noted.
    """

    woods: tuple[WoodUsed, ...]
    whole: WoodUsed | None
    left_cents: int
    paid: Against | None
    on_top_cents: int
    glue: Against | None
    finish: Against | None

    @property
    def empty(self) -> bool:
        """Whether nothing was noted at all."""
        return self.whole is None and self.paid is None and self.glue is None and self.finish is None


_seen: Remembered[Reckoned] = Remembered(16)


def reckoned(session: Session, project_id: int, today: date) -> Reckoned:
    """What became of a job's materials; the same journal is worked out once.

    Raises:
        MissingReference: no such project.
    """
    return _seen.of_journal(session, ("materials", project_id, today), lambda: _read(session, project_id, today))


def _read(session: Session, project_id: int, today: date) -> Reckoned:
    found = review(session, project_id, today)
    lines = found.money.materials.lines if found.money else ()
    shop = read_shop(session, today)
    woods = _woods(lines, _planned(session, found.project, shop))
    seen = ratio_records.of_project(session, shop, today, found.project.code)
    return Reckoned(
        woods=woods,
        whole=together(woods, ALL_WOOD) if woods else None,
        left_cents=sum(line.left_cents for line in lines),
        paid=_against(seen[Kind.PRICE]),
        on_top_cents=sum(line.on_top_cents for line in lines),
        glue=_against(seen[Kind.GLUE]),
        finish=_against(seen[Kind.FINISH]),
    )


def _against(seen: Sequence[Seen]) -> Against | None:
    return Against(sum(one.expected for one in seen), sum(one.actual for one in seen)) if seen else None


@dataclass(frozen=True, slots=True)
class _Plan:
    """Board feet by stock, in the blanks and to be bought; None where the plan can no longer be worked out."""

    blanks: Mapping[str, float]
    bought: Mapping[str, float]


def _planned(session: Session, project: ProjectRow, shop: ShopView) -> _Plan | None:
    """By the plan in force."""
    plan = plans.latest_plan(session, project.id)
    if plan is None or not plan.parts:
        return None
    listed, rules = parts.from_rows(plan.parts), shop.rules(work_of(project))
    try:
        found = take_off(listed, shop.book(), rules, benches=project.benches)
    except JournalError:  # wood no longer bought, or machines sold since: nothing to compare with
        return None
    bought = {bill.stock.code: _feet(bill) for bill in found.bills if not isinstance(bill.stock, Sheet)}
    return _Plan(ratio_records.blanks_feet(shop, plan.parts, project.benches), bought)


def _feet(bill: StockBill) -> float:
    """Softwood at its dressed size; hardwood is sold by what it measures rough."""
    if not isinstance(bill.stock, Dimensional):
        return bill.board_feet
    section = bill.stock.thickness_nm * bill.stock.width_nm
    return sum(bought.count * units.board_feet(section * bought.offer.length_nm) for bought in bill.purchases)


def _woods(lines: Sequence[MaterialLine], plan: _Plan | None) -> tuple[WoodUsed, ...]:
    """By stock, what was bought or drawn first, then what was planned and never bought."""
    wood = [line for line in lines if line.bought_feet or line.left_feet]
    if not wood:
        return ()
    codes = dict.fromkeys([*(line.code for line in wood), *(plan.bought if plan else ())])
    return tuple(_wood(code, [line for line in wood if line.code == code], plan) for code in codes)


def _wood(code: str, lines: Sequence[MaterialLine], plan: _Plan | None) -> WoodUsed:
    """Of a stock the plan does not name no blank is cut."""
    return WoodUsed(
        code=code,
        blanks_feet=None if plan is None else plan.blanks.get(code, 0.0),
        planned_feet=None if plan is None else plan.bought.get(code, 0.0),
        bought_feet=sum(line.bought_feet for line in lines),
        left_feet=sum(line.left_feet for line in lines),
        said=not any(line.unsaid for line in lines),
    )
