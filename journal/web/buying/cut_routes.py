"""The cut sheet: every board with its cuts, on the page and on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, url_for
from markupsafe import Markup

from journal import units
from journal.desk import buying as desk
from journal.desk import cutting_plans
from journal.errors import BadInput
from journal.paper import cut_sheet, svg
from journal.paper.print import CutSheetPaper, StockSheet, cut_sheet_pdf
from journal.web import state
from journal.web.buying import pages
from journal.web.buying.blueprint import bp
from journal.web.buying.forms import PaperForm
from journal.working import counted

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.buying import Shopping
    from journal.desk.cutting_plans import InForce
    from journal.paper.cut_sheet import CutSheet


@bp.get("/<int:project_id>/buy/cuts")
def buy_cuts(project_id: int) -> ResponseReturnValue:
    """Every board, drawn, with the cuts in a table beside it."""
    found, paper = _found(project_id)
    stocks = tuple(_stock(plan, place) for place, plan in enumerate(found.plans, 1))
    form = PaperForm(formdata=None, paper=paper)
    return render_template("buying/cuts.html", page=pages.CutsPage(found.project, stocks, form))


@bp.get("/<int:project_id>/buy/cut-sheet.pdf")
def buy_cut_sheet(project_id: int) -> ResponseReturnValue:
    """The same on paper."""
    found, paper = _found(project_id)
    display = state.display()
    printed = CutSheetPaper(
        title=f"Cut sheet: {found.project.title}",
        project=found.project.code,
        day=state.journal().today(),
        paper=paper,
        system=display.system,
        denominator=display.denominator,
        mark=display.mark,
        stocks=[StockSheet(plan.lot.stock.code, _summary(plan), _sheet(plan, cut_sheet.WIDE)) for plan in found.plans],
    )
    response = make_response(cut_sheet_pdf(printed))
    response.headers["Content-Type"] = "application/pdf"
    response.headers["Content-Disposition"] = f'inline; filename="cut-sheet-{_file_name(found.project.code)}.pdf"'
    return response


@bp.post("/<int:project_id>/buy/paper")
def buy_paper(project_id: int) -> ResponseReturnValue:
    """The paper to print on from now on."""
    form = PaperForm()
    if not form.validate_on_submit():
        raise BadInput("paper", form.paper.data or "", " or ".join(desk.PAPERS.values()))
    with state.writing() as session:
        desk.choose_paper(session, form.paper.data)
    flash(f"Printed on {desk.PAPERS[form.paper.data]} from now on.", "good")
    return redirect(url_for("buying.buy_cuts", project_id=project_id))


def _found(project_id: int) -> tuple[Shopping, str]:
    with state.reading() as session:
        return desk.shopping(session, project_id, state.journal().today()), desk.paper(session)


def _stock(plan: InForce, place: int) -> pages.CutStock:
    wide, narrow = _sheet(plan, cut_sheet.WIDE), _sheet(plan, cut_sheet.NARROW)
    drawn = tuple(
        pages.DrawnBoard(
            row, _drawing(row, f"cut-{place}-{row.number}"), _drawing(small, f"cut-s-{place}-{row.number}")
        )
        for row, small in zip(wide.boards, narrow.boards, strict=True)
    )
    return pages.CutStock(plan.lot.stock.code, wide, drawn, narrow.times)


def _drawing(row: cut_sheet.BoardRow, name: str) -> Markup:
    return Markup(svg.board_svg(row, name))  # noqa: S704 - made by us, every text in it escaped


def _sheet(plan: InForce, width: float) -> CutSheet:
    display = state.display()
    return cut_sheet.lay_out(
        plan.problem,
        plan.result,
        system=display.system,
        denominator=display.denominator,
        mark=display.mark,
        width=width,
        piece=cutting_plans.piece_word(plan.lot.stock),
    )


def _summary(plan: InForce) -> str:
    """What the plan is worth, in a sentence."""
    currency = state.display().currency
    cost = state.in_marks(units.format_money(plan.result.cost_cents, currency))
    boards = counted(len(plan.result.plan.boards), cutting_plans.piece_word(plan.lot.stock))
    rack = sum(count for _, count in plan.result.from_rack)
    boards += f", {rack} of them from the rack," if rack else ""
    if plan.result.status == "optimal":
        return f"{boards} for {cost}, spares not counted; nothing costs less."
    bound = state.in_marks(units.format_money(plan.result.bound_cents, currency))
    return f"{boards} for {cost}, spares not counted; no plan costs less than {bound}."


def _file_name(code: str) -> str:
    """A project's number as part of a file's name."""
    return "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in code)
