"""Where a project in build will end up: the page, and how that looked day by day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import render_template, request

from journal.desk import progress as desk
from journal.desk import projects
from journal.desk.earned_so_far import earned_so_far
from journal.errors import JournalError, MissingReference
from journal.web.progress.blueprint import bp
from journal.web.progress.course import course_view
from journal.web.progress.pages import AheadPage, ahead, not_yet, speaks_of
from journal.web.state import journal, reading

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue


@bp.get("/<int:project_id>/progress")
def show(project_id: int) -> ResponseReturnValue:
    """Hours, cost and day in the end, and what they hang on."""
    today, done = journal().today(), _done()
    with reading() as session:
        project = projects.one(session, project_id)
        if not speaks_of(project.state):
            return render_template("progress/show.html", page=AheadPage(project, None, not_yet(project.state)))
        try:
            found = desk.progress(session, project_id, today, done=done, with_history=False)
            earned = earned_so_far(session, found, today)
        except MissingReference:
            raise
        except JournalError as refused:
            return render_template("progress/show.html", page=AheadPage(project, None, f"{refused}."))
    return render_template("progress/show.html", page=AheadPage(project, ahead(found, done, earned), ""))


@bp.get("/<int:project_id>/progress/course")
def show_course(project_id: int) -> ResponseReturnValue:
    """How it looked day by day: each day is a calibration of its own, so the page does not wait for it."""
    with reading() as session:
        project = projects.one(session, project_id)
        if not speaks_of(project.state):
            raise MissingReference("project in build", project.code, [])
        found = desk.progress(session, project_id, journal().today())
    return render_template("progress/course.html", project=project, course=course_view(found))


def _done() -> tuple[str, ...]:
    """What is to be counted as done for this look."""
    return tuple(sorted(set(request.args.getlist("done"))))
