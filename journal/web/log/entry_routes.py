"""One entry: corrected, split, marked as done again, removed, counted again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import abort, render_template, request, url_for
from werkzeug.utils import redirect

from journal.desk import bench, log_view
from journal.desk import logging as desk
from journal.errors import BadInput, Conflict
from journal.web import clash, forms, state
from journal.web.log import pages
from journal.web.log.blueprint import bp
from journal.web.log.forms import MOST_PARTS, EntryForm, PartForm, ReasonForm, SplitForm
from journal.web.work_choice import read_work, work_choices, work_value

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue
    from werkzeug.wrappers import Response

    from journal.desk.log_view import OneEntry
    from journal.floor.taps import Task


@bp.get("/<int:project_id>/log/<int:entry_id>")
def show_entry(project_id: int, entry_id: int) -> ResponseReturnValue:
    """An entry with all that was ever corrected in it."""
    return _show(project_id, entry_id)


@bp.post("/<int:project_id>/log/<int:entry_id>")
def show_entry_correct(project_id: int, entry_id: int) -> ResponseReturnValue:
    """Correct it."""
    with state.reading() as session:
        found = _found(log_view.one(session, entry_id), project_id)
        form = EntryForm().offer(bench.places(session), kept=found.worker)
    if not form.validate_on_submit():
        return _show(project_id, entry_id, form=form), 422
    try:
        with state.writing() as session:
            wanted = form.wanted(project_id)
            desk.correct(session, entry_id, wanted, seen=form.seen.data, why=form.why.data, sent=state.sending())
    except Conflict:
        return _beside_theirs(project_id, entry_id, form), 409
    except BadInput as refusal:
        forms.attach(form, refusal)
        return _show(project_id, entry_id, form=form), 422
    return _back(project_id)


@bp.post("/<int:project_id>/log/<int:entry_id>/split")
def show_entry_split(project_id: int, entry_id: int) -> ResponseReturnValue:
    """Give some of it to other work."""
    _require(project_id, entry_id)
    form, parts = SplitForm(), _parts(sent=True)
    if not (form.validate_on_submit() and all([part.validate() for part in parts])):  # noqa: C419 - each marks its own
        return _show(project_id, entry_id, parts=parts), 422
    given: list[tuple[Task, int]] = [
        (read_work(part.work.data, project_id), part.hours.data) for part in parts if part.hours.data
    ]
    try:
        with state.writing() as session:
            desk.split(session, entry_id, given, seen=form.seen.data, sent=state.sending())
    except Conflict:
        return _show(project_id, entry_id, conflict=True), 409
    except BadInput as refusal:
        errors = (f"{str(refusal)[:1].upper()}{str(refusal)[1:]}.",)
        return _show(project_id, entry_id, parts=parts, errors=errors), 422
    return _back(project_id)


@bp.post("/<int:project_id>/log/<int:entry_id>/again")
def show_entry_again(project_id: int, entry_id: int) -> ResponseReturnValue:
    """Mark it as done again, or not."""
    _require(project_id, entry_id)
    with state.writing() as session:
        desk.mark_rework(session, entry_id, again=request.form.get("again") == "1", sent=state.sending())
    return _back(project_id)


@bp.post("/<int:project_id>/log/<int:entry_id>/remove")
def show_entry_remove(project_id: int, entry_id: int) -> ResponseReturnValue:
    """Take it out of every sum."""
    _require(project_id, entry_id)
    form = ReasonForm()
    if not form.validate_on_submit():
        return _show(project_id, entry_id, reason=form), 422
    with state.writing() as session:
        desk.remove(session, entry_id, form.reason.data, sent=state.sending())
    return _back(project_id)


@bp.post("/<int:project_id>/log/<int:entry_id>/restore")
def show_entry_restore(project_id: int, entry_id: int) -> ResponseReturnValue:
    """Let it count again."""
    _require(project_id, entry_id)
    with state.writing() as session:
        desk.count_again(session, entry_id, sent=state.sending())
    return _back(project_id)


def _beside_theirs(project_id: int, entry_id: int, form: EntryForm) -> str:
    """The form as it was typed, with what somebody else made of the entry meanwhile."""
    with state.reading() as session:
        found = _found(log_view.one(session, entry_id), project_id)
        kept = EntryForm(formdata=None).offer(bench.places(session), kept=found.worker)
    kept.fill(found.entry, log_view.stamp(found.entry), state.zone())
    clash.show_both(form, kept, mark="seen")
    return _show(project_id, entry_id, form=form)


def _back(project_id: int) -> Response:
    return redirect(url_for("log.show", project_id=project_id), code=303)


def _require(project_id: int, entry_id: int) -> None:
    with state.reading() as session:
        _found(log_view.one(session, entry_id), project_id)


def _found(found: OneEntry, project_id: int) -> OneEntry:
    """The entry, if it is of this project: an address with the two of different jobs leads nowhere."""
    if found.entry.project_id != project_id:
        abort(404)
    return found


def _parts(*, sent: bool) -> tuple[PartForm, ...]:
    parts = []
    for number in range(1, MOST_PARTS + 1):
        part = PartForm(prefix=f"p{number}-") if sent else PartForm(formdata=None, prefix=f"p{number}-")
        part.work.choices = work_choices()
        parts.append(part)
    return tuple(parts)


def _show(
    project_id: int,
    entry_id: int,
    *,
    form: EntryForm | None = None,
    parts: tuple[PartForm, ...] = (),
    reason: ReasonForm | None = None,
    conflict: bool = False,
    errors: tuple[str, ...] = (),
) -> str:
    with state.reading() as session:
        found = _found(log_view.one(session, entry_id), project_id)
        workers = bench.places(session)
    stamp = log_view.stamp(found.entry)
    if form is None:
        form = EntryForm(formdata=None).offer(workers, kept=found.worker)
        form.fill(found.entry, stamp, state.zone())
    split = SplitForm(formdata=None)
    split.seen.data = stamp
    if not parts:
        parts = _parts(sent=False)
        for part in parts:
            part.work.data = work_value(log_view.task_of(found.entry))
    page = pages.OnePage(
        project=found.project,
        line=pages.entry_line(found.entry, found.changes, found.workers, state.zone()),
        removed=found.entry.removed_at is not None,
        clocked=found.clocked,
        form=form,
        split=split,
        parts=parts,
        reason=reason or ReasonForm(formdata=None),
        conflict=conflict,
        errors=errors,
    )
    return render_template("log/entry.html", page=page)
