"""When a project will be done: the page, its calendar file, and what may be said on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Response, flash, jsonify, redirect, render_template, request, url_for

from journal.days.calendar import to_moment
from journal.desk import days as desk
from journal.desk import parts, projects
from journal.desk.days_json import as_json
from journal.desk.days_others import ASKED
from journal.errors import BadInput, JournalError, MissingReference
from journal.records.queries import calendar as records
from journal.web import state
from journal.web.days import pages
from journal.web.days.blueprint import bp
from journal.web.days.calendar_file import calendar_file
from journal.web.days.forms import BroughtForm, LikelyForm, StartForm

if TYPE_CHECKING:
    from datetime import date

    from flask.typing import ResponseReturnValue
    from sqlalchemy.orm import Session

    from journal.desk.days import ProjectDays


@bp.get("/<int:project_id>/days")
def show(project_id: int) -> ResponseReturnValue:
    """When, what decides it, day by day."""
    return _show(project_id)


@bp.get("/<int:project_id>/days.ics")
def show_file(project_id: int) -> ResponseReturnValue:
    """The likely plan for a calendar program."""
    found = _found(project_id)
    return Response(
        calendar_file(found, state.now()),
        mimetype="text/calendar",
        headers={"Content-Disposition": f'attachment; filename="days-{project_id}.ics"'},
    )


@bp.get("/<int:project_id>/days.json")
def show_json(project_id: int) -> ResponseReturnValue:
    """The same for other programs."""
    return jsonify(as_json(_found(project_id)))


@bp.post("/<int:project_id>/days/likely")
def show_likely(project_id: int) -> ResponseReturnValue:
    """Say how likely it is to come."""
    form = LikelyForm()
    if not form.validate_on_submit():
        return _show(project_id, likely=form)
    with state.writing() as session:
        if projects.one(session, project_id).state not in ASKED:
            raise BadInput(
                "likelihood", form.likely.data, "a project that is not agreed yet; this one has been decided"
            )
        records.put_likelihood(session, project_id, form.likely.data)
    flash("Noted. Days of later work reckon with it.", "good")
    return _back(project_id, "other-work")


@bp.post("/<int:project_id>/days/hardware")
def show_hardware(project_id: int) -> ResponseReturnValue:
    """Say what the client brings."""
    features = _features(project_id)
    form = BroughtForm.of([(feature, feature) for feature in features], ())
    if not form.validate_on_submit():
        raise BadInput(
            "the client brings", ", ".join(request.form.getlist("brought")), ", ".join(features) or "nothing"
        )
    with state.writing() as session:
        records.put_brought(session, project_id, form.brought.data or [])
    flash("Noted. The weeks count from when it is here.", "good")
    return _back(project_id, "hardware")


def _back(project_id: int, anchor: str) -> ResponseReturnValue:
    return redirect(url_for("days.show", project_id=project_id, _anchor=anchor))


def _found(project_id: int) -> ProjectDays:
    form = _start_form()
    if not form.validate():
        raise BadInput("start", request.args.get("start", ""), "a day such as 2026-12-01")
    with state.reading() as session:
        return desk.days_of(session, project_id, state.journal().today(), start=form.start.data)


def _features(project_id: int) -> tuple[str, ...]:
    with state.reading() as session:
        found = desk.days_of(session, project_id, state.journal().today())
    return tuple(one.feature for one in found.hardware)


def _start_form() -> StartForm:
    form = StartForm(request.args)
    if not request.args.get("start"):
        form = StartForm(formdata=None)
        form.start.data = state.journal().today()
        form.start.raw_data = [form.start.data.isoformat()]
    return form


def _show(project_id: int, *, likely: LikelyForm | None = None) -> ResponseReturnValue:
    form = _start_form()
    sound = form.validate()
    with state.reading() as session:
        page = _page(session, project_id, form, form.start.data if sound else None, likely)
    refused = not sound or form.refused() or (likely is not None and likely.refused())
    return render_template("days/show.html", page=page), 422 if refused else 200


def _page(
    session: Session, project_id: int, form: StartForm, start: date | None, likely: LikelyForm | None
) -> pages.DaysPage:
    today = state.journal().today()
    project = projects.one(session, project_id)
    if start is None:
        return pages.DaysPage(project, form)
    try:
        found = desk.days_of(session, project_id, today, start=start)
    except MissingReference:
        raise
    except JournalError as refused:
        return _refused(session, project_id, form, refused)
    bound = to_moment(found.likely.bound, found.zone).date()
    return pages.DaysPage(
        project=project,
        start=form,
        plan=pages.plan_of(found, bound),
        likely=likely or _likely(session, found),
        brought=_brought(found),
    )


def _refused(session: Session, project_id: int, form: StartForm, refused: JournalError) -> pages.DaysPage:
    project = projects.one(session, project_id)
    if isinstance(refused, BadInput) and refused.field == "start":
        form.start.errors = [*form.start.errors, f"Expected {refused.expected}."]
        return pages.DaysPage(project, form)
    if not parts.current(session, project_id):
        return pages.DaysPage(project, form, no_parts=True)
    troubles = parts.troubles(session, project_id, state.journal().today())
    return pages.DaysPage(project, form, troubles=troubles, refused="" if troubles else str(refused))


def _likely(session: Session, found: ProjectDays) -> LikelyForm | None:
    if found.project.state not in ASKED:
        return None
    form = LikelyForm(formdata=None)
    form.likely.data = records.likelihoods(session).get(found.project.id)
    return form


def _brought(found: ProjectDays) -> BroughtForm | None:
    if not found.hardware:
        return None
    choices = [(one.feature, one.name) for one in found.hardware]
    form = BroughtForm(formdata=None, brought=[one.feature for one in found.hardware if one.brought])
    form.brought.choices = choices
    return form
