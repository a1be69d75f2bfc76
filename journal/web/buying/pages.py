"""What the templates of the Buy section receive."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import units
from journal.build.stock import Rough
from journal.desk import cutting_plans
from journal.desk.cutting_plans import Standing
from journal.records.words import CuttingStatus
from journal.web import figures, state

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from flask_wtf import FlaskForm
    from markupsafe import Markup

    from journal.desk.after_cutting import After
    from journal.desk.buying import BuyLine, Shopping, Taken
    from journal.desk.cutting_plans import InForce, Without
    from journal.desk.jobs import Jobs, Snapshot
    from journal.desk.parts import Trouble
    from journal.paper.cut_sheet import BoardRow, CutSheet
    from journal.records.queries.projects import ProjectRow
    from journal.records.queries.purchases import PurchaseRow
    from journal.web.buying.after_form import AfterRows
    from journal.web.buying.forms import DrawForm, PaperForm, ReceiptForm, SearchForm
    from journal.web.buying.yard import YardRow


@dataclass(frozen=True, slots=True)
class Trip:
    """What is still to buy at one place; `cents` is the sum."""

    supplier: str
    lines: tuple[BuyLine, ...]
    cents: int


@dataclass(frozen=True, slots=True)
class PlanView:
    """The cutting plan of a stock, and the search for a better one.

    Attributes:
        number: from 1, tells its boxes from those of the others.
        stock, piece: what is cut, and what one of it is called.
        boards: how many the plan cuts, spares not counted.
        cost_cents, bound_cents, gap: of the plan; no plan costs less than the bound.
        best: nothing costs less.
        kept: it is kept with the project as it stands here.
        repriced, stale, rack_gone, damaged: why it is not, or what has changed since; old_cents: what the kept one cost.
        made_on, ended: when it was made, how its search ended.
        running: the search of this moment; lost: one was cut short when the program was stopped.
        limits: lengths of which only so many were there, (nm, how many).
        short: spares for which there is no board.
        search: the form to begin one.
        rack_boards, rack_cents: boards of the rack among them, and what using them up is taken to be worth.
        rough: of hardwood in random widths.
        to_set_aside: of them, how many are not planned for the project yet.
    """

    number: int
    stock: str
    piece: str
    boards: int
    cost_cents: int
    bound_cents: int
    gap: float
    best: bool
    kept: bool
    repriced: bool
    stale: bool
    damaged: bool
    old_cents: int
    made_on: datetime | None
    ended: str
    running: Snapshot | None
    lost: bool
    limits: tuple[tuple[int, int], ...]
    short: int
    search: SearchForm
    rack_gone: bool
    rack_boards: int
    rack_cents: int
    rough: bool
    to_set_aside: int


@dataclass(frozen=True, slots=True)
class BuyPage:
    """What buying/index.html receives.

    Attributes:
        project: who buys.
        shopping: the list; None when there is none.
        troubles: why there is none; empty then means that there are no parts.
        trips: what is still to buy, by where.
        boards, oldest: boards and sheets still to buy; the oldest price on the list, None with none or a starting one.
        plans: how the boards are cut.
        running: a search is under way.
        receipts: what was bought, newest first.
        draw: the form that draws the boards of the rack; to_draw: how many there are to draw.
    """

    project: ProjectRow
    shopping: Shopping | None = None
    troubles: tuple[Trouble, ...] = ()
    trips: tuple[Trip, ...] = ()
    boards: int = 0
    oldest: date | None = None
    plans: tuple[PlanView, ...] = ()
    running: bool = False
    receipts: tuple[PurchaseRow, ...] = ()
    draw: DrawForm | None = None
    to_draw: int = 0


@dataclass(frozen=True, slots=True)
class SearchesPage:
    """What buying/searches.html receives: the plans with their searches, for a page that is already open."""

    project: ProjectRow
    plans: tuple[PlanView, ...]
    running: bool


@dataclass(frozen=True, slots=True)
class WithoutPage:
    """What buying/without.html receives: for each length bought, what it costs to do without."""

    project: ProjectRow
    lengths: tuple[Without, ...]
    sheets: frozenset[str]


@dataclass(frozen=True, slots=True)
class YardTrip:
    """One place at the yard: its rows, the other lengths sold there, the receipt."""

    number: int
    supplier: str
    rows: tuple[YardRow, ...]
    others: tuple[YardRow, ...]
    form: ReceiptForm
    conflict: bool = False


@dataclass(frozen=True, slots=True)
class YardPage:
    """What buying/yard.html receives."""

    project: ProjectRow
    trips: tuple[YardTrip, ...]
    cents: int


@dataclass(frozen=True, slots=True)
class AfterPage:
    """What buying/after.html receives: what is still to be told, in boxes."""

    project: ProjectRow
    after: After
    rows: AfterRows
    form: FlaskForm
    draw: DrawForm


@dataclass(frozen=True, slots=True)
class DrawnBoard:
    """A board with its drawing for a wide and a narrow page."""

    row: BoardRow
    wide: Markup
    narrow: Markup


@dataclass(frozen=True, slots=True)
class CutStock:
    """The cut sheet of a stock on the page."""

    name: str
    sheet: CutSheet
    boards: tuple[DrawnBoard, ...]
    narrow_times: int


@dataclass(frozen=True, slots=True)
class CutsPage:
    """What buying/cuts.html receives."""

    project: ProjectRow
    stocks: tuple[CutStock, ...]
    paper: PaperForm


def plan_view(
    number: int, plan: InForce, running: Snapshot | None, search: SearchForm, taken: Sequence[Taken]
) -> PlanView:
    """A plan in force as the pages show it."""
    row, result = plan.row, plan.result
    serves = plan.standing in (Standing.KEPT, Standing.REPRICED)
    searched = row is not None and serves and row.status is CuttingStatus.SEARCHING
    return PlanView(
        number=number,
        stock=plan.lot.stock.code,
        piece=cutting_plans.piece_word(plan.lot.stock),
        boards=len(result.plan.boards),
        cost_cents=running.cost_cents if running else result.cost_cents,
        bound_cents=running.bound_cents if running else result.bound_cents,
        gap=running.gap if running else result.gap,
        best=result.status == "optimal",
        kept=serves,
        repriced=plan.standing is Standing.REPRICED,
        stale=plan.standing is Standing.STALE,
        damaged=plan.standing is Standing.DAMAGED,
        old_cents=row.cost_cents if row else 0,
        made_on=row.made_at if row and serves else None,
        ended=row.ended if row and serves else "",
        running=running,
        lost=searched and running is None,
        limits=tuple(sorted(plan.there.items())),
        short=0 if isinstance(plan.lot.stock, Rough) else plan.needs.short,
        search=search,
        rack_gone=plan.standing is Standing.RACK,
        rack_boards=sum(count for _, count in result.from_rack),
        rack_cents=sum(board.price_cents * len(numbers) for board, numbers in plan.from_rack),
        rough=isinstance(plan.lot.stock, Rough),
        to_set_aside=sum(one.free for one in taken if one.stock == plan.lot.stock.code),
    )


def more_money(cents: int) -> str:
    """A difference: +$14.00, −$3.00, or that there is none."""
    if not cents:
        return "the same"
    return f"{'+' if cents > 0 else '−'}{state.in_marks(units.format_money(abs(cents), state.display().currency))}"


def place(supplier: str) -> str:
    """A supplier as a heading."""
    return supplier[:1].upper() + supplier[1:] or "Anywhere"


def one_place(amount: float) -> str:
    """An amount to a tenth, as it is asked for."""
    return figures.number(round(amount, 1))


def seconds(time_seconds: float) -> str:
    """How long: 42 s, 5 min 10 s."""
    whole = int(time_seconds)
    return f"{whole} s" if whole < 60 else f"{whole // 60} min {whole % 60} s" if whole % 60 else f"{whole // 60} min"


def running_of(jobs: Jobs, plan: InForce) -> Snapshot | None:
    """The search under way for a plan, if any; one for what the project was before does not count."""
    serves = plan.row is not None and plan.standing in (Standing.KEPT, Standing.REPRICED)
    return jobs.look(plan.row.id) if plan.row and serves else None


def refused(form: FlaskForm) -> str:
    """Why a form of hidden boxes and choices was not taken."""
    return " ".join(str(error) for errors in form.errors.values() for error in errors)
