"""A project begun, a project changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, url_for

from journal.desk import projects
from journal.errors import BadInput, Conflict
from journal.records.words import ProjectState
from journal.web import clash, forms, state
from journal.web.projects.blueprint import bp
from journal.web.projects.forms import ProjectForm

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.records.queries.projects import ProjectRow

_STATE_KIND = {
    ProjectState.IN_BUILD: "good",
    ProjectState.ACCEPTED: "good",
    ProjectState.ENQUIRY: "care",
    ProjectState.QUOTED: "care",
}


@dataclass(frozen=True, slots=True)
class ProjectPage:
    """What projects/edit.html receives.

    Attributes:
        form: what is known of the project.
        project: the project, or None while it is being begun.
    """

    form: ProjectForm
    project: ProjectRow | None = None


def state_words(found: ProjectState) -> str:
    """A state as it is read: “in build”."""
    return found.value.replace("_", " ")


def state_kind(found: ProjectState) -> str:
    """Which sign stands before a state."""
    return _STATE_KIND.get(found, "")


bp.add_app_template_filter(state_words)
bp.add_app_template_filter(state_kind)


@bp.get("/new")
def new() -> ResponseReturnValue:
    """An enquiry to fill in."""
    return _show(_offered(ProjectForm()))


@bp.post("/new")
def new_begin() -> ResponseReturnValue:
    """Begin a project."""
    form = _offered(ProjectForm())
    if not form.validate_on_submit():
        return _show(form), 422
    try:
        with state.writing() as session:
            begun = projects.begin(session, form.asked(), now=state.now())
    except BadInput as refusal:
        forms.attach(form, refusal)
        return _show(form), 422
    flash(f"{begun.code} is begun. Now its parts.", "good")
    return redirect(url_for("projects.parts", project_id=begun.id))


@bp.get("/<int:project_id>/edit")
def edit(project_id: int) -> ResponseReturnValue:
    """A project's particulars."""
    project = _project(project_id)
    asked = projects.asked_of(project)
    form = _offered(ProjectForm(obj=asked, version=project.version))
    return _show(form, project)


@bp.post("/<int:project_id>/edit")
def edit_keep(project_id: int) -> ResponseReturnValue:
    """Change a project."""
    project = _project(project_id)
    form = _offered(ProjectForm(obj=projects.asked_of(project), version=project.version))
    if not form.validate_on_submit():
        return _show(form, project), 422
    try:
        with state.writing() as session:
            read_version = form.version.data
            projects.change(session, project_id, form.asked(), read_version=read_version, now=state.now())
    except Conflict:
        clash.show_both(form)
        return _show(form, project), 409
    except BadInput as refusal:
        forms.attach(form, refusal)
        return _show(form, project), 422
    flash("Kept.", "good")
    return redirect(url_for("projects.parts", project_id=project_id))


def _project(project_id: int) -> ProjectRow:
    with state.reading() as session:
        return projects.one(session, project_id)


def _offered(form: ProjectForm) -> ProjectForm:
    with state.reading() as session:
        form.offer(projects.habits(session))
    return form


def _show(form: ProjectForm, project: ProjectRow | None = None) -> str:
    return render_template("projects/edit.html", page=ProjectPage(form, project))
