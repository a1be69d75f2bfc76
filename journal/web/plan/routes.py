"""The plan, with what is tried on it; nothing is kept here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import render_template, request, url_for

from journal.build.handling import Box
from journal.desk import liquids, moisture, parts, projects, shelf
from journal.desk import plan as desk
from journal.desk import steps as desk_steps
from journal.desk.drawn_bench import drawn_bench
from journal.desk.what_if import what_if
from journal.errors import BadInput, JournalError
from journal.paper.step_sheet import clock, minutes_between
from journal.web import filters, state
from journal.web import forms as fields
from journal.web.plan import pages
from journal.web.plan.blueprint import bp
from journal.web.plan.forms import AddForm, ReadingForm, StackForm, WayInForm, WhatIfForm
from journal.web.plan.pages import Filled, PlanPage, Told, Tried, WayIn

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue
    from sqlalchemy.orm import Session

    from journal.desk.drawn_bench import DrawnBench
    from journal.desk.plan import ProjectPlan

bp.add_app_template_filter(clock, "clock")
bp.add_app_template_filter(minutes_between)
bp.add_app_template_filter(pages.more, "more")
bp.add_app_template_filter(pages.more_hours)
bp.add_app_template_filter(pages.more_money, "more_to_ask")
bp.add_app_template_filter(pages.signed_length)
bp.add_app_template_filter(pages.yes_no)
bp.add_app_template_filter(pages.listed, "listed")


@bp.get("/<int:project_id>/plan")
def show(project_id: int) -> ResponseReturnValue:
    """How it is built here."""
    return show_plan(project_id)


def show_plan(
    project_id: int,
    *,
    add: AddForm | None = None,
    reading: ReadingForm | None = None,
    stack: StackForm | None = None,
) -> ResponseReturnValue:
    """The plan page; a form that was refused is shown as it was filled in."""
    today = state.journal().today()
    with state.reading() as session:
        project = projects.one(session, project_id)
        told = _told(session, project_id)
        try:
            plan = desk.build_plan(session, project_id, today)
        except JournalError as refused:
            page = PlanPage(project, None, _why_not(session, project_id, refused), told)
            return render_template("plan/show.html", page=page)
        drawn = bench_of(session, plan)
        there = shelf.reach(session, project_id)
        filled = Filled(
            tried=_tried(session, project_id, plan),
            way_in=_way_in(plan, drawn),
            add=add or AddForm(formdata=None),
            reading=reading or ReadingForm(formdata=None, on=today),
            stack=stack or StackForm(formdata=None, since=plan.stack.stacked_on if plan.stack else today),
        )
    filled.add.offer(plan.steps)
    glue, coating = liquids.glue_of(plan.found, there), liquids.coating_of(plan.found, there)
    laid = pages.lay_out(plan, filled, glue, coating, drawn, today)
    wrong = any(
        form.refused() for form in (filled.add, filled.reading, filled.stack, laid.tried.form, laid.way_in.form)
    )
    page = PlanPage(project, laid, (), told)
    return render_template("plan/show.html", page=page), 422 if wrong or laid.tried.refused else 200


def _why_not(session: Session, project_id: int, refused: JournalError) -> tuple[parts.Trouble, ...]:
    """What stands in the way; the refusal itself where no part is to blame."""
    found = parts.troubles(session, project_id, state.journal().today())
    return found or ((parts.Trouble((), str(refused)),) if parts.current(session, project_id) else ())


def bench_of(session: Session, plan: ProjectPlan) -> DrawnBench | None:
    """The bench as its design draws it, with the strips of the plan; None where it came from no design."""
    strips = {one.part.label: one.strips for one in plan.gluing.milled}
    return drawn_bench(session, plan.found.project, [one.part for one in plan.gluing.milled], strips)


def _tried(session: Session, project_id: int, plan: ProjectPlan) -> Tried:
    form = WhatIfForm(formdata=request.args if "asked" in request.args else None)
    form.offer(plan.found.work.adhesive or plan.found.shop.row.default_adhesive)
    if "asked" not in request.args or not form.validate():
        return Tried(form, None)
    try:
        found = what_if(session, project_id, state.journal().today(), form.change())
    except BadInput as refusal:
        fields.attach(form, refusal)
        return Tried(form, None)
    except JournalError as refused:
        return Tried(form, None, refused=str(refused))
    return Tried.of(form, found)


def _way_in(plan: ProjectPlan, drawn: DrawnBench | None) -> WayIn:
    asked = "carried" in request.args
    form = WayInForm(formdata=request.args if asked else None)
    if not asked:
        if drawn:
            form.length.data, form.depth.data, form.height.data = drawn.outer_nm
        return WayIn(form, ())
    if not form.validate():
        return WayIn(form, ())
    bench = form.bench_nm()
    found = desk.way_in(plan, bench=Box(*bench) if bench else None, door_nm=form.door_nm(), stairs=form.stairs())
    return WayIn(form, found)


def _told(session: Session, project_id: int) -> Told | None:
    """The change that the address says was just made, if it was; with the button that undoes it."""
    edit_id, reading_id = (request.args.get(name, default=0, type=int) for name in ("changed", "read"))
    if edit_id:
        row = desk_steps.one(session, project_id, edit_id)
        way = "again" if row.taken_back_at else "back"
        text = f"{'Taken back: ' if row.taken_back_at else ''}{desk_steps.say(row)}."
        return Told(
            text[:1].upper() + text[1:],
            url_for(f"plan.show_edit_{way}", project_id=project_id, edit_id=edit_id),
            "Put it again" if row.taken_back_at else "Undo",
        )
    if reading_id:
        reading = moisture.one(session, project_id, reading_id)
        gone = reading.taken_back_at is not None
        return Told(
            f"{'Taken back: ' if gone else 'Noted: '}{reading.moisture_pct:g}% on {filters.day(reading.on_date)}.",
            url_for(f"plan.show_reading_{'again' if gone else 'back'}", project_id=project_id, reading_id=reading_id),
            "Put it again" if gone else "Undo",
        )
    return None
