"""What is still to buy; the cutting plans behind it, kept and searched for; what it costs without a length."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from journal.desk import buying as desk
from journal.desk import cutting_plans, estimate, parts, projects
from journal.desk.cutting_lots import project_lots
from journal.errors import BadInput, JournalError
from journal.web import state
from journal.web.buying import pages
from journal.web.buying.blueprint import bp, jobs
from journal.web.buying.forms import SearchForm, StockForm, draw_form

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from flask.typing import ResponseReturnValue
    from sqlalchemy.orm import Session

    from journal.desk.buying import BuyLine, Shopping


bp.add_app_template_filter(pages.more_money)
bp.add_app_template_filter(pages.one_place)
bp.add_app_template_filter(pages.seconds)
bp.add_app_template_filter(pages.place)


@bp.get("/<int:project_id>/buy")
def buy(project_id: int) -> ResponseReturnValue:
    """The list: what, where, for how much."""
    with state.reading() as session:
        page = _page(session, project_id)
    return render_template("buying/index.html", page=page)


@bp.get("/<int:project_id>/buy/searches")
def buy_searches(project_id: int) -> ResponseReturnValue:
    """The plans and their searches alone, for a page that asks again and again."""
    with state.reading() as session:
        found = desk.shopping(session, project_id, state.journal().today())
    views = _views(found)
    running = any(view.running for view in views)
    return render_template("buying/searches.html", page=pages.SearchesPage(found.project, views, running))


@bp.get("/<int:project_id>/buy/without")
def buy_without(project_id: int) -> ResponseReturnValue:
    """For each length on the list: what if it is not there?"""
    with state.reading() as session:
        found = estimate.estimate_project(session, project_id, state.journal().today())
        plans = cutting_plans.in_force(session, project_id, project_lots(session, found))
    lengths = tuple(one for plan in plans for one in cutting_plans.without_each(plan))
    sheets = frozenset(plan.lot.stock.code for plan in plans if cutting_plans.piece_word(plan.lot.stock) == "sheet")
    return render_template("buying/without.html", page=pages.WithoutPage(found.project, lengths, sheets))


@bp.post("/<int:project_id>/buy/keep")
def buy_keep(project_id: int) -> ResponseReturnValue:
    """Keep the plan of a stock as the page shows it."""
    stock = _stock(StockForm())
    with state.writing() as session:
        plan = cutting_plans.one_in_force(session, project_id, stock, state.journal().today())
        cutting_plans.keep(session, project_id, plan, now=state.now())
    flash(f"The cutting plan of {stock} is kept.", "good")
    return _back(project_id)


@bp.post("/<int:project_id>/buy/fresh")
def buy_fresh(project_id: int) -> ResponseReturnValue:
    """Plan a stock anew at today's prices, nothing known to be short, and keep that."""
    stock = _stock(StockForm())
    with state.writing() as session:
        plan = cutting_plans.one_in_force(session, project_id, stock, state.journal().today())
        cutting_plans.keep(session, project_id, cutting_plans.replan(plan, {}), now=state.now())
    flash(f"{stock} is planned anew, at today’s prices.", "good")
    return _back(project_id)


@bp.post("/<int:project_id>/buy/search")
def buy_search(project_id: int) -> ResponseReturnValue:
    """Begin to look for a cheaper plan; the page does not wait for it."""
    form = SearchForm()
    stock = _stock(form)
    with state.reading() as session:
        plan = cutting_plans.one_in_force(session, project_id, stock, state.journal().today())
    jobs().start(project_id, plan, seconds=float(form.seconds.data), now=state.now())
    return _back(project_id)


@bp.post("/<int:project_id>/buy/stop")
def buy_stop(project_id: int) -> ResponseReturnValue:
    """End a search with the best it has."""
    stock = _stock(StockForm())
    with state.reading() as session:
        plan = cutting_plans.one_in_force(session, project_id, stock, state.journal().today())
    if plan.row:
        jobs().stop(plan.row.id)
        jobs().wait(plan.row.id, 2.0)  # most end at once, and the page then shows what they found
    return _back(project_id)


def _back(project_id: int) -> ResponseReturnValue:
    return redirect(url_for("buying.buy", project_id=project_id, _anchor="cutting-plans"))


def _stock(form: StockForm) -> str:
    if not form.validate_on_submit():
        raise BadInput("choice", request.form.get("seconds", ""), pages.refused(form) or "one of those on the page")
    return str(form.stock.data)


def _page(session: Session, project_id: int) -> pages.BuyPage:
    today = state.journal().today()
    project = projects.one(session, project_id)
    try:
        found = desk.shopping(session, project_id, today)
    except JournalError as refused:
        troubles = parts.troubles(session, project_id, today)
        if not troubles and parts.current(session, project_id):
            troubles = (parts.Trouble((), str(refused)),)
        return pages.BuyPage(project, troubles=troubles)
    views = _views(found)
    to_draw = [board.id for one in found.taken for board in one.boards if board.there]
    return pages.BuyPage(
        project=project,
        shopping=found,
        trips=trips(found),
        boards=sum(int(line.left) for line in found.lines if line.unit in ("board", "sheet")),
        oldest=_oldest([line for line in found.lines if line.left > 0]),
        plans=views,
        running=any(view.running for view in views),
        receipts=tuple(reversed(found.receipts)),
        draw=draw_form(to_draw),
        to_draw=len(to_draw),
    )


def trips(found: Shopping) -> tuple[pages.Trip, ...]:
    """What is still to buy, place by place."""
    return tuple(
        pages.Trip(supplier, lines, sum(line.cents for line in lines)) for supplier, lines in found.by_supplier()
    )


def _views(found: Shopping) -> tuple[pages.PlanView, ...]:
    views = []
    for number, plan in enumerate(found.plans, 1):
        form = SearchForm(formdata=None)
        form.stock.data = plan.lot.stock.code
        views.append(pages.plan_view(number, plan, pages.running_of(jobs(), plan), form, found.taken))
    return tuple(views)


def _oldest(lines: Sequence[BuyLine]) -> date | None:
    days = [line.priced_on for line in lines]
    return None if None in days else min((day for day in days if day), default=None)
