"""A project's notes: the list, a new one, one changed, taken out, put back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import render_template, request, url_for
from werkzeug.utils import redirect

from journal.desk import acts, bench, photos
from journal.desk import notes as desk
from journal.errors import BadInput, Conflict
from journal.records.queries import devices
from journal.records.queries import notes as records
from journal.web import forms as fields
from journal.web import state
from journal.web.notes import pages
from journal.web.notes.blueprint import bp
from journal.web.notes.forms import NoteForm, entry_in
from journal.web.who import who_of
from journal.web.work_choice import work_value

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from journal.records.queries.notes import NoteRow

bp.add_app_template_filter(work_value)


@bp.get("/projects/<int:project_id>/notes")
def index(project_id: int) -> ResponseReturnValue:
    """A page of the notes, and a new one."""
    return _show(project_id)


@bp.post("/projects/<int:project_id>/notes")
def add(project_id: int) -> ResponseReturnValue:
    """Write a note."""
    form = _offered(project_id)
    if not form.validate_on_submit():
        return _show(project_id, form=form), 422
    try:
        stored = form.photos.store()
        with state.writing() as session:
            desk.put(session, project_id, form.wanted(), sent=state.sending(), stored=stored)
    except BadInput as refusal:
        fields.attach(form, refusal)
        return _show(project_id, form=form), 422
    return _back(project_id)


@bp.get("/projects/<int:project_id>/notes/<int:note_id>")
def one(project_id: int, note_id: int) -> ResponseReturnValue:
    """A note to read or change."""
    return _show_one(project_id, note_id)


@bp.post("/projects/<int:project_id>/notes/<int:note_id>")
def change(project_id: int, note_id: int) -> ResponseReturnValue:
    """Change a note."""
    with state.reading() as session:
        kept = desk.one(session, project_id, note_id)
    form = _offered(project_id, kept)
    if not form.validate_on_submit():
        return _show_one(project_id, note_id, form=form), 422
    try:
        version, stored = form.version.data, form.photos.store()
        with state.writing() as session:
            desk.change(session, note_id, form.wanted(), read_version=version, sent=state.sending(), stored=stored)
    except Conflict:
        return _show_one(project_id, note_id, form=form, conflict=True), 409
    except BadInput as refusal:
        fields.attach(form, refusal)
        return _show_one(project_id, note_id, form=form), 422
    return _back(project_id)


@bp.post("/projects/<int:project_id>/notes/<int:note_id>/remove")
def remove(project_id: int, note_id: int) -> ResponseReturnValue:
    """Take a note out."""
    with state.writing() as session:
        desk.one(session, project_id, note_id)
        desk.remove(session, note_id, sent=state.sending())
    return _back(project_id)


@bp.post("/projects/<int:project_id>/notes/<int:note_id>/restore")
def restore(project_id: int, note_id: int) -> ResponseReturnValue:
    """Put a note back that was taken out."""
    with state.writing() as session:
        desk.one(session, project_id, note_id)
        desk.put_back(session, note_id, sent=state.sending())
    return _back(project_id)


def _back(project_id: int) -> Response:
    return redirect(url_for("notes.index", project_id=project_id), code=303)


def _offered(project_id: int, kept: NoteRow | None = None, *, fresh: bool = False) -> NoteForm:
    """The form with its choices, as it was sent or, `fresh`, as it comes."""
    with state.reading() as session:
        choice, listed = bench.choices(session, project_id), [(one.id, one.label) for one in bench.places(session)]
        entry = _entry(session, project_id, kept)
        everybody = devices.all_workers(session)
    if kept and kept.worker_id is not None and kept.worker_id not in dict(listed):
        listed.append((kept.worker_id, everybody[kept.worker_id]))
    form = NoteForm(formdata=None) if fresh else NoteForm()
    return form.offer(choice, listed, book=state.book(), entry=entry, kept=kept)


def _entry(session: Session, project_id: int, kept: NoteRow | None) -> tuple[int, str] | None:
    """The time entry that the note is about, or is to be: the one asked for, if it is of this project."""
    asked = entry_in(request.values.get("about", ""))
    wanted = asked if asked is not None else kept.entry_id if kept else None
    found = records.entries_of(session, [wanted] if wanted is not None else [])
    rows = [row for row in found.values() if row.project_id == project_id]
    return (rows[0].id, pages.entry_said(rows[0])) if rows else None


def _show(project_id: int, *, form: NoteForm | None = None) -> str:
    removed = request.args.get("removed") == "y"
    with state.reading() as session:
        found = desk.page_of(session, project_id, request.args.get("page", 1, type=int), removed=removed)
        last, workers = acts.newest(session, state.now()), bench.places(session)
    asked = request.args.get("about", "")
    fresh = _offered(project_id, fresh=True)
    fresh.day.data = state.journal().today()
    fresh.about.data = asked if asked in {choice.value for choice in fresh.about.choices} else ""
    mine = who_of(workers)
    fresh.worker.data = str(mine[0]) if mine else ""

    def at(number: int) -> str | None:
        there = 1 <= number <= found.pages
        more = {"removed": "y"} if removed else {}
        return url_for("notes.index", project_id=project_id, page=number, **more) if there else None

    page = pages.ListPage(
        found=found,
        lines=tuple(
            pages.note_line(row, found.entries, found.workers, found.photos.get(row.id, ())) for row in found.notes
        ),
        form=form or fresh,
        writing=form is not None or bool(asked) or not (found.total or found.removed),
        removed=removed,
        newer=at(found.page - 1),
        older=at(found.page + 1),
        last=last,
    )
    return render_template("notes/index.html", page=page)


def _show_one(project_id: int, note_id: int, *, form: NoteForm | None = None, conflict: bool = False) -> str:
    with state.reading() as session:
        row, project = desk.one(session, project_id, note_id), bench.choices(session, project_id).project
        entries = records.entries_of(session, [row.entry_id] if row.entry_id is not None else [])
        line, wall = pages.note_line(row, entries, devices.all_workers(session)), photos.of_note(session, note_id)
    if form is None:
        form = _offered(project_id, row, fresh=True)
        form.fill(row)
    if conflict:
        form.version.data = row.version
    return render_template("notes/one.html", page=pages.OnePage(project, line, form, wall, conflict=conflict))
