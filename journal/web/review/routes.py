"""The page of a finished project, and the pieces it fetches."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import render_template

from journal.desk import closing as closings
from journal.desk import learnt as learning
from journal.desk import photos, projects, review_aside, review_materials
from journal.desk import review as desk
from journal.records.queries import notes
from journal.web.review import materials_view, pages
from journal.web.review.aside import boxes
from journal.web.review.blueprint import bp
from journal.web.review.forms import AcceptForm, AsideForm, CloseForm, LessonForm
from journal.web.state import journal, reading

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

bp.add_app_template_filter(pages.signed, "signed_money")


@bp.get("/<int:project_id>/review")
def show(project_id: int) -> ResponseReturnValue:
    """Where the money and the hours went."""
    return page(project_id)


@bp.get("/<int:project_id>/review/learnt")
def show_learnt(project_id: int) -> ResponseReturnValue:
    """What the paces and ratios were and are with this job in: a calibration, so the page does not wait for it."""
    with reading() as session:
        project = projects.one(session, project_id)
        found = learning.learnt(session, project_id, journal().today())
    return render_template("review/learnt.html", project=project, found=found)


@bp.get("/<int:project_id>/review/materials")
def show_materials(project_id: int) -> ResponseReturnValue:
    """Waste against the plan, leftovers, prices, glue and finish: a cutting plan, so the page does not wait for it."""
    with reading() as session:
        project = projects.one(session, project_id)
        found = review_materials.reckoned(session, project_id, journal().today())
    woods, said = materials_view.wood_lines(found), materials_view.said(found)
    return render_template("review/materials.html", project=project, woods=woods, said=said, empty=found.empty)


@bp.get("/<int:project_id>/review/lessons")
def show_lessons(project_id: int) -> ResponseReturnValue:
    """Lessons of jobs like this one, for its estimate."""
    with reading() as session:
        project = projects.one(session, project_id)
        found = closings.lessons_like(session, project_id)
    return render_template("review/lessons.html", project=project, lessons=found)


def page(
    project_id: int,
    *,
    lesson: LessonForm | None = None,
    accept: tuple[str, AcceptForm] | None = None,
    aside: tuple[str, AsideForm] | None = None,
) -> str:
    """The page, with a refused form in the place of a fresh one."""
    today = journal().today()
    with reading() as session:
        project = projects.one(session, project_id)
        speaks = pages.speaks_of(project.state)
        found = desk.review(session, project_id, today) if speaks else None
        closing = closings.closing(session, project_id, today) if speaks else None
        written = notes.by_operation(session, project_id)
        hung = photos.of_notes(session, [row.id for rows in written.values() for row in rows])
        stand = review_aside.asides(session, project_id) if found else {}
    unbelieved = pages.unbelieved(found, closing) if found and closing else ""
    outcome, kind = pages.outcome(found, believed=not unbelieved) if found else ("", "")
    surprises, others = pages.piece_lines(found, written) if found else ((), ())
    return render_template(
        "review/show.html",
        page=pages.ReviewPage(
            project=project,
            why_not="" if found else pages.why_not(project.state),
            unbelieved=unbelieved,
            outcome=outcome,
            kind=kind,
            money=pages.money_view(found.money, believed=not unbelieved) if found and found.money else None,
            source=found.promised.source if found and found.promised else "",
            kept=bool(found and found.promised and found.promised.kept),
            noise=pages.noise(found) if found else "",
            surprises=surprises,
            asides=boxes(surprises, others, stand, aside),
            others=others,
            hung=hung,
            stages=pages.stage_lines(found) if found else (),
            all_hours=pages.all_hours(found) if found else None,
            beside=pages.beside(found) if found else "",
            days=found.days if found else None,
            late=pages.late_words(found.days) if found else "",
            rework_minutes=found.rework_minutes if found else 0.0,
            closing=closing,
            lesson=lesson or LessonForm(formdata=None),
            accept=pages.acceptable(closing, AcceptForm, accept) if closing else (),
            close=CloseForm(formdata=None, version=project.version),
        ),
    )
