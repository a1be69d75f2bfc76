"""A project's way from enquiry to closed: what may come next, what was, and the last step taken back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from journal.desk import closing, projects, promises
from journal.errors import BadInput, Conflict, NoSolution
from journal.records.words import ProjectState
from journal.web import forms, state
from journal.web.back import go_back
from journal.web.quotes.blueprint import bp
from journal.web.quotes.forms import MoveForm, VersionForm
from journal.web.quotes.pages import LifePage, Offer, quote_lines

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.life import Step
    from journal.desk.promises import Life


@bp.get("/projects/<int:project_id>/life")
def show_life(project_id: int) -> ResponseReturnValue:
    """What may come next; `?to=` opens one."""
    found = _life(project_id)
    return _show(found, opened=request.args.get("to", ""))


@bp.post("/projects/<int:project_id>/life")
def show_move(project_id: int) -> ResponseReturnValue:
    """Bring it to another state."""
    found, asked, today = _life(project_id), request.form.get("to", ""), state.journal().today()
    version = VersionForm()
    if version.version.data != found.project.version:
        return _show_conflict(found, asked)
    step = next((step for step in found.steps if step.end.value == asked), None)
    if step is None:
        raise BadInput("move", asked, f"from “{_plain(found.project.state)}” one of those on its page")
    form = MoveForm.of(step, found, today, sent=True)
    if not form.validate():
        return _show(found, opened=asked, refused=form), 422
    quote_id = found.open.id if found.open and step.end is ProjectState.ACCEPTED else None
    try:
        with state.writing() as session:
            told = form.told(today, quote_id)
            read = version.version.data
            if step.end is ProjectState.CLOSED:
                closing.require_tied(session, project_id, today)
            promises.move(session, project_id, step.end, told, read_version=read, today=today, now=state.now())
    except Conflict:
        return _show_conflict(_life(project_id), asked)
    except BadInput as refusal:
        forms.attach(form, refusal)
        return _show(found, opened=asked, refused=form), 422
    flash(f"{found.project.code} is {step.done}.", "good")
    return redirect(url_for("quotes.show_life", project_id=project_id))


@bp.post("/projects/<int:project_id>/life/undo")
def show_undo(project_id: int) -> ResponseReturnValue:
    """Take the last move back."""
    form = VersionForm()
    try:
        with state.writing() as session:
            read, today = form.version.data, state.journal().today()
            back = promises.undo(session, project_id, read_version=read, today=today, now=state.now())
            code = projects.one(session, project_id).code
    except Conflict:
        return _show_conflict(_life(project_id), "")
    except NoSolution as refused:
        return _show(_life(project_id), wrong=str(refused)), 422
    flash(f"Taken back; {code} is {_plain(back.to_state)} again.", "good")
    return go_back(url_for("quotes.show_life", project_id=project_id), code=302)


def _life(project_id: int) -> Life:
    with state.reading() as session:
        return promises.life_of(session, project_id)


def _show_conflict(found: Life, asked: str) -> ResponseReturnValue:
    """What another tab did, and what was asked here, side by side; what was typed here stays in its boxes."""
    step = next((step for step in found.steps if step.end.value == asked), None)
    kept = MoveForm.of(step, found, state.journal().today(), sent=True) if step else None
    wanted = f"“{asked.replace('_', ' ')[:40]}”" if asked else "to take the last step back"
    said = f"It is {_plain(found.project.state)} now: it was changed in another tab or by somebody else since this page was opened. You asked for {wanted}; that was not done."
    return _show(found, opened=asked, refused=kept, conflict=said), 409


def _show(
    found: Life, *, opened: str = "", refused: MoveForm | None = None, conflict: str = "", wrong: str = ""
) -> str:
    lines = quote_lines(found, state.journal().today())
    with state.reading() as session:
        building = found.project.state is ProjectState.IN_BUILD
        loose = closing.closing(session, found.project.id, state.journal().today()).open_ends if building else ()
    page = LifePage(
        life=found,
        offers=tuple(_offer(step, found, opened, refused) for step in found.steps),
        version=VersionForm(formdata=None, version=found.project.version),
        back=VersionForm(formdata=None, version=found.project.version) if found.standing else None,
        open=lines[0] if lines else None,
        loose=loose,
        conflict=conflict,
        wrong=wrong,
    )
    return render_template("quotes/life.html", page=page)


def _offer(step: Step, found: Life, opened: str, refused: MoveForm | None) -> Offer:
    here = step.end.value == opened
    form = refused if here and refused else MoveForm.of(step, found, state.journal().today())
    return Offer(step, form, here or (step.usual and not opened))


def _plain(word: ProjectState) -> str:
    return word.value.replace("_", " ")
