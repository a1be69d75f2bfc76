"""Options side by side, one to change, one to take."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, url_for

from journal import reference
from journal.desk import options as desk
from journal.desk import projects
from journal.errors import BadInput, Conflict, JournalError, MissingReference
from journal.quote.options import Changes
from journal.web import forms
from journal.web.options.blueprint import bp
from journal.web.options.forms import filled
from journal.web.options.pages import OptionsPage, edit_page, options_page
from journal.web.options.take_form import TakeForm
from journal.web.state import journal, now, reading, writing
from journal.working import counted

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.options import Ground
    from journal.records.queries.projects import ProjectRow
    from journal.web.options.forms import OptionForm


@bp.get("")
def show(project_id: int) -> ResponseReturnValue:
    """The project and its options, line by line."""
    today = journal().today()
    with reading() as session:
        project = projects.one(session, project_id)
        try:
            page = options_page(desk.side_by_side(session, project_id, today), desk.MOST)
        except MissingReference:
            raise
        except JournalError as refused:
            page = OptionsPage(project, False, "", "", (), (), 0, room=False, trouble=str(refused))
    return render_template("options/show.html", page=page, take=TakeForm(formdata=None))


@bp.route("/new", methods=["GET", "POST"])
def add(project_id: int) -> ResponseReturnValue:
    """One more option."""
    ground = _ground(project_id)
    form = filled(ground, Changes())
    if form.validate_on_submit() and _kept(project_id, 0, form, ground, Changes()):
        flash(f"“{form.name.data}” stands beside the project now.", "good")
        return redirect(url_for("options.show", project_id=project_id))
    return render_template("options/edit.html", page=edit_page(ground, 0, form)), 422 if form.refused() else 200


@bp.route("/<int:option_id>", methods=["GET", "POST"])
def edit(project_id: int, option_id: int) -> ResponseReturnValue:
    """One option, to be changed."""
    ground = _ground(project_id)
    with reading() as session:
        row, changes = desk.one(session, project_id, option_id)
    form = filled(ground, changes, name=row.name, version=row.version)
    try:
        if form.validate_on_submit() and _kept(project_id, option_id, form, ground, changes):
            flash(f"“{form.name.data}” is changed.", "good")
            return redirect(url_for("options.show", project_id=project_id))
    except Conflict:
        form.version.data = row.version
        return render_template("options/edit.html", page=edit_page(ground, option_id, form, conflict=True)), 409
    return (
        render_template("options/edit.html", page=edit_page(ground, option_id, form)),
        422 if form.refused() else 200,
    )


@bp.post("/<int:option_id>/remove")
def remove(project_id: int, option_id: int) -> ResponseReturnValue:
    """Take an option away."""
    with writing() as session:
        gone = desk.remove(session, project_id, option_id)
    flash(f"“{gone.name}” is gone; the project is as it was.", "good")
    return redirect(url_for("options.show", project_id=project_id))


@bp.post("/<int:option_id>/take")
def take(project_id: int, option_id: int) -> ResponseReturnValue:
    """Make an option the project."""
    form = TakeForm()
    form.validate()
    with reading() as session:
        before = projects.one(session, project_id)
    with writing() as session:
        taken = desk.take(
            session,
            project_id,
            option_id,
            read_version=form.version.data,
            plan_version=form.plan_version.data,
            now=now(),
        )
        after = projects.one(session, project_id)
    flash(f"“{taken.row.name}” is the project now. {_way_back(before, after)}", "good")
    return redirect(url_for("projects.price", project_id=project_id))


def _way_back(before: ProjectRow, after: ProjectRow) -> str:
    """How to undo it: the parts by their versions, the rest by hand, with what it was."""
    was = [text for text, then in zip(_particulars(before), _particulars(after), strict=True) if text != then]
    parts = "Undo under Parts brings the parts back"
    return f"{parts}; before, it was {', '.join(was)}." if was else f"{parts}."


def _particulars(project: ProjectRow) -> tuple[str, ...]:
    glues, finishes = reference.adhesives(), reference.finishes()
    return (
        counted(project.benches, "bench", "benches"),
        glues[project.adhesive].name if project.adhesive in glues else "the shop’s glue",
        finishes[project.finish].name if project.finish in finishes else "the shop’s finish",
        counted(project.coats, "coat"),
    )


def _ground(project_id: int) -> Ground:
    with reading() as session:
        return desk.ground(session, project_id, journal().today())


def _kept(project_id: int, option_id: int, form: OptionForm, ground: Ground, before: Changes) -> bool:
    try:
        changes = form.changes(ground, before)
        with writing() as session:
            if option_id:
                version = form.version.data
                desk.change(session, project_id, option_id, form.name.data, changes, read_version=version, now=now())
            else:
                desk.add(session, project_id, form.name.data, changes, now=now())
    except BadInput as refused:
        forms.attach(form, refused)
        return False
    return True
