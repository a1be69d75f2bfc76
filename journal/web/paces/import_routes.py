"""Past jobs from a spreadsheet: sent, looked at as often as it takes, taken in whole, taken back whole."""

from __future__ import annotations

import re
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from flask import flash, redirect, render_template, request, url_for

from journal.desk import history as desk
from journal.desk import incoming
from journal.errors import BadInput, BadRows, JournalError, MissingReference
from journal.records.queries.imports import EditedSince
from journal.web.back import go_back
from journal.web.filters import hours
from journal.web.paces.blueprint import bp
from journal.web.paces.forms import UploadForm
from journal.web.paces.import_form import read_added, read_choices, typed_work
from journal.web.paces.import_page import AddRefused, PastJobsPage, edited_lines, look_page
from journal.web.state import display, journal, now, reading, writing

if TYPE_CHECKING:
    from pathlib import Path

    from flask.typing import ResponseReturnValue

    from journal.desk.history import Look
    from journal.records.queries.imports import Edited, ImportRow

_LONGEST_NAME = 120
# Room for the form around a file of the largest size.
_LARGEST_REQUEST = desk.LARGEST_BYTES + 1024 * 1024


@bp.url_value_preprocessor
def _allow_large_sheet(endpoint: str | None, _values: dict[str, Any] | None) -> None:
    """Ten years of evenings are larger than any other form; asked before anything reads the request."""
    if endpoint == "paces.past_jobs_send":
        request.max_content_length = request.max_form_memory_size = _LARGEST_REQUEST


@bp.get("/past-jobs")
def past_jobs() -> ResponseReturnValue:
    """Send a spreadsheet; what was taken so far."""
    return _show(UploadForm(formdata=None))


@bp.post("/past-jobs")
def past_jobs_send() -> ResponseReturnValue:
    """Read a spreadsheet and go on to look at it; nothing is taken yet."""
    form = UploadForm()
    if not form.validate_on_submit():
        return _show(form), 422
    sent = form.file.data
    content = sent.read() if sent and sent.filename else form.text.data
    name = PurePath(sent.filename.replace("\\", "/")).name[:_LONGEST_NAME] if sent and sent.filename else desk.PASTED
    try:
        token = desk.receive(_data(), content, name)
    except BadInput as refusal:
        form.form_errors.append(f"{refusal}.")
        return _show(form), 422
    return redirect(url_for("paces.past_jobs_look", token=token))


@bp.get("/past-jobs/<token>")
def past_jobs_look(token: str) -> ResponseReturnValue:
    """A spreadsheet as it would be taken."""
    try:
        return render_template("paces/look.html", page=look_page(_look(token)))
    except MissingReference:
        return _gone()


@bp.post("/past-jobs/<token>")
def past_jobs_choose(token: str) -> ResponseReturnValue:
    """Read it another way; or take all of it, if it is read as it was shown."""
    try:
        seen = _look(token)
    except MissingReference:
        return _gone()
    if request.form.get("do") == "drop":
        incoming.drop(_data(), token)
        flash(f"{seen.incoming.sheet.name} is put away; nothing of it was taken.", "plain")
        return redirect(url_for("paces.past_jobs"))
    add = re.fullmatch(r"add-(\d{1,4})", request.form.get("do", ""), re.ASCII)
    if add:
        return _add(seen, int(add[1]))
    choices = read_choices(request.form, seen.incoming.choices, seen.history.words if seen.history else ())
    if choices != seen.incoming.choices:
        desk.choose(_data(), token, choices)
        if request.form.get("do") == "take":
            flash("It is read another way now. Look it over, then take it.", "care")
        return redirect(url_for("paces.past_jobs_look", token=token))
    if request.form.get("do") != "take":
        return redirect(url_for("paces.past_jobs_look", token=token))
    return _take(seen)


@bp.post("/past-jobs/<int:import_id>/undo")
def past_jobs_undo(import_id: int) -> ResponseReturnValue:
    """Take an import back."""
    try:
        with writing() as session:
            undone = desk.undo(session, import_id)
    except EditedSince as refusal:
        return _show(UploadForm(formdata=None), import_id, refusal.edited), 409
    flash(f"{undone.source} is taken back: {_amount(undone)}. Nothing of it is left.", "good")
    return go_back(url_for("paces.past_jobs"), code=302)


def _add(seen: Look, place: int) -> ResponseReturnValue:
    """Let a word mean an operation of the shop's own, after the other choices as they were sent."""
    typed, key = read_added(request.form, place)
    token = seen.incoming.token
    choices = read_choices(request.form, seen.incoming.choices, seen.history.words if seen.history else ())
    if choices != seen.incoming.choices:
        desk.choose(_data(), token, choices)
        seen = _look(token)
    try:
        desk.add_own(_data(), seen, key, typed_work(typed))
    except BadInput as refusal:
        return render_template("paces/look.html", page=look_page(seen, AddRefused(key, typed, f"{refusal}."))), 422
    return redirect(url_for("paces.past_jobs_look", token=token))


def _take(seen: Look) -> ResponseReturnValue:
    try:
        with writing() as session:
            taken = desk.take(session, seen, now=now())
    except BadRows:
        # What the page says is what stands in the way: shown once more, as it is now.
        return render_template("paces/look.html", page=look_page(_look(seen.incoming.token))), 422
    incoming.drop(_data(), seen.incoming.token)
    flash(f"Taken: {_amount(taken)}. The paces learn from it.", "good")
    return redirect(url_for("paces.past_jobs"))


def _amount(row: ImportRow) -> str:
    projects = "1 project" if row.projects == 1 else f"{row.projects:,} projects"
    return f"{projects}, {hours(row.seconds / 60)}"


def _gone() -> ResponseReturnValue:
    flash("That spreadsheet waits no longer: it was taken, put away, or is a day old. Send it again.", "care")
    return redirect(url_for("paces.past_jobs"))


def _look(token: str) -> Look:
    with reading() as session:
        return desk.look(session, _data(), token, journal().today(), display().system)


def _show(form: UploadForm, kept_id: int | None = None, edited: tuple[Edited, ...] = ()) -> str:
    with reading() as session:
        taken = desk.taken(session)
    kept = next((row for row in taken if row.id == kept_id), None)
    listed = tuple((row, row.seconds / 60) for row in taken)
    return render_template("paces/past_jobs.html", page=PastJobsPage(form, listed, kept, edited_lines(edited)))


def _data() -> Path:
    data = journal().settings.data
    if data is None:
        raise JournalError("this server was started without a data folder; start it with `journal serve`")
    return data
