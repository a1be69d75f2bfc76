"""The Parts tab: the list to edit in place, paste, upload, download, undo and go back."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import PurePath
from typing import TYPE_CHECKING, TypeVar

from flask import flash, make_response, redirect, render_template, request, url_for

from journal.desk import agreed_parts, projects
from journal.desk import parts as desk
from journal.errors import BadInput, BadRows, Conflict
from journal.web import forms, state
from journal.web.back import go_back
from journal.web.projects import part_cells as cells
from journal.web.projects.blueprint import bp
from journal.web.projects.forms import ADD, PasteForm, VersionForm

if TYPE_CHECKING:
    from collections.abc import Sequence

    from flask.typing import ResponseReturnValue

    from journal.build.parts import Part
    from journal.desk.agreed_parts import Differing
    from journal.desk.parts import Trouble
    from journal.errors import Problem
    from journal.records.queries.plans import PlanHead
    from journal.records.queries.projects import ProjectRow
    from journal.web.projects.part_cells import Row

Versioned = TypeVar("Versioned", VersionForm, PasteForm)

_MOST_NOTES = 4  # told after a list was taken; they travel in a cookie, which is small
_NEWEST = 6  # versions shown at once
_CLIPPED = 60  # characters of a file's name in the history


@dataclass(frozen=True, slots=True)
class PartsPage:
    """What projects/parts.html receives.

    Attributes:
        project: whose parts.
        headings: (column, heading) of the boxes.
        rows: the parts as boxes, a blank one last.
        pattern: a blank row for a script to copy, numbered __n__ in the template.
        listed: how many parts are kept; pieces: how many pieces they are in one bench.
        form: the version the rows were made from; its errors stand over the table.
        paste: the box for a whole list.
        faults: bad places of the list that was pasted.
        refused: the rows could not be taken; what is wrong is marked in them.
        troubles: why the kept parts cannot be built yet.
        newest, older: the versions, newest first.
        conflict: somebody else changed the list since this page was opened.
        differing: what was changed since the agreement and is in no extra.
    """

    project: ProjectRow
    headings: tuple[tuple[str, str], ...]
    rows: tuple[Row, ...]
    pattern: Row
    listed: int
    pieces: int
    form: VersionForm
    paste: PasteForm
    faults: tuple[Problem, ...]
    refused: bool
    troubles: tuple[Trouble, ...]
    newest: tuple[PlanHead, ...]
    older: tuple[PlanHead, ...]
    conflict: bool
    differing: Differing | None


@bp.get("/<int:project_id>/parts")
def parts(project_id: int) -> ResponseReturnValue:
    """The parts as they stand."""
    return _show(project_id)


@bp.post("/<int:project_id>/parts")
def parts_keep(project_id: int) -> ResponseReturnValue:
    """Keep the table as it was filled in; or, where no script adds rows, give it another one."""
    form, system = VersionForm(), state.display().system
    rows = cells.rows_sent(request.form, system)
    if request.form.get("do") == "row":
        return _show(project_id, rows=rows, form=form)
    typed = cells.read_rows(rows, system)
    if typed.refused:
        form.form_errors.extend(typed.errors)
        return _show(project_id, rows=typed.rows, form=form, refused=True), 422
    try:
        changed = _keep(project_id, typed.parts, form.version.data)
    except Conflict:
        return _show(project_id, rows=typed.rows, conflict=True), 409
    except BadInput as refusal:
        form.form_errors.append(str(refusal))
        return _show(project_id, rows=typed.rows, form=form, refused=True), 422
    _tell(f"Kept: {changed}." if changed else "Nothing was changed.", typed.notes)
    return redirect(url_for("projects.parts", project_id=project_id))


@bp.post("/<int:project_id>/parts/paste")
def parts_paste(project_id: int) -> ResponseReturnValue:
    """Take a whole list; nothing of it when any place in it is bad."""
    paste = PasteForm()
    content, source = _content(paste)
    if not paste.validate_on_submit():
        return _show(project_id, paste=paste), 422
    try:
        kept, reading = _take(project_id, content, source, paste)
    except BadRows as refusal:
        return _show(project_id, paste=_with_text(paste, content), faults=refusal.problems), 422
    except Conflict:
        return _show(project_id, paste=_with_text(paste, content), conflict=True), 409
    except BadInput as refusal:
        forms.attach(paste, refusal)
        return _show(project_id, paste=_with_text(paste, content)), 422
    _tell(f"Taken: {len(reading.parts)} {'part' if len(reading.parts) == 1 else 'parts'}.", reading.notes)
    if kept.trouble:
        flash("Not all of it can be built yet; see below.", "care")
    return redirect(url_for("projects.parts", project_id=project_id))


@bp.post("/<int:project_id>/parts/undo")
def parts_undo(project_id: int) -> ResponseReturnValue:
    """Go back to the version before, or to the one named."""
    form = VersionForm()
    wanted = request.form.get("to", "")
    with state.writing() as session:
        if desk.page(session, project_id).version != form.version.data:
            code = projects.one(session, project_id).code
            raise Conflict(f"the part list of {code}", "open it again and see what it is now")
        if wanted:
            desk.restore(session, project_id, _whole(wanted), now=state.now())
        else:
            desk.undo(session, project_id, now=state.now())
    flash(f"Gone back to version {wanted}." if wanted else "Undone. Undo once more to have it again.", "good")
    return go_back(url_for("projects.parts", project_id=project_id), code=302)


@bp.get("/<int:project_id>/parts.csv")
def parts_file(project_id: int) -> ResponseReturnValue:
    """The list as a file that can be pasted or uploaded again."""
    with state.reading() as session:
        project, listed = projects.one(session, project_id), desk.current(session, project_id)
    answer = make_response(cells.as_csv(listed, state.display().system))
    answer.headers["Content-Type"] = "text/csv; charset=utf-8"
    answer.headers["Content-Disposition"] = f'attachment; filename="parts-{project.id}.csv"'
    return answer


def _whole(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 10):
        raise BadInput("version", text, "a version of the list below")
    return int(text)


def _keep(project_id: int, listed: Sequence[Part], version: int) -> str:
    """What was changed, in a few words; '' when nothing was."""
    with state.writing() as session:
        before = desk.current(session, project_id)
        reason = cells.what_changed(before, listed)
        kept = desk.keep(session, project_id, listed, reason=reason, now=state.now(), read_version=version)
        return reason if kept.plan.version != version else ""


def _take(project_id: int, content: bytes | str, source: str, paste: PasteForm) -> tuple[desk.Kept, desk.Reading]:
    with state.writing() as session:
        return desk.take_list(
            session,
            project_id,
            content,
            source=source,
            now=state.now(),
            add=paste.how.data == ADD,
            read_version=paste.version.data,
        )


def _content(paste: PasteForm) -> tuple[bytes | str, str]:
    """What was sent, and what the history calls it."""
    sent = paste.file.data
    if sent and sent.filename:
        return sent.read(), PurePath(sent.filename.replace("\\", "/")).name[:_CLIPPED]
    return paste.text.data or "", "a paste"


def _with_text(paste: PasteForm, content: bytes | str) -> PasteForm:
    """The form with an uploaded file in its box, to be mended there."""
    if isinstance(content, bytes):
        paste.text.data = cells.decoded(content)
    return paste


def _tell(what: str, notes: Sequence[str]) -> None:
    flash(what, "good")
    for note in notes[:_MOST_NOTES]:
        flash(f"Understood, {note}.", "plain")
    if len(notes) > _MOST_NOTES:
        flash(f"And {len(notes) - _MOST_NOTES} more like these.", "plain")


def _unless_blank(rows: Sequence[Row]) -> tuple[Row, ...]:
    """The rows without a blank one at the end, so that one is never followed by another."""
    return tuple(rows[:-1] if rows and rows[-1].blank else rows)


def _show(
    project_id: int,
    *,
    rows: Sequence[Row] | None = None,
    form: VersionForm | None = None,
    paste: PasteForm | None = None,
    faults: tuple[Problem, ...] = (),
    conflict: bool = False,
    refused: bool = False,
) -> str:
    system = state.display().system
    with state.reading() as session:
        project = projects.one(session, project_id)
        found = desk.page(session, project_id)
        today = state.journal().today()
        troubles = desk.troubles(session, project_id, today)
        differing = agreed_parts.differing(session, project, today)
    shown = cells.rows_of(found.parts, system) if rows is None else tuple(rows)
    number = 1 + max((row.number for row in shown), default=-1)
    page = PartsPage(
        project=project,
        headings=cells.headings(system),
        rows=(*_unless_blank(shown), cells.blank_row(number, system)),
        pattern=cells.blank_row(0, system),
        listed=len(found.parts),
        pieces=sum(part.quantity for part in found.parts),
        form=_versioned(form or VersionForm(formdata=None), found.version, renew=conflict or form is None),
        paste=_versioned(paste or PasteForm(formdata=None), found.version, renew=conflict or paste is None),
        faults=tuple(replace(fault, message=cells.said(fault)) for fault in faults),
        refused=refused,
        troubles=troubles,
        newest=found.history[:_NEWEST],
        older=found.history[_NEWEST:],
        conflict=conflict,
        differing=differing,
    )
    return render_template("projects/parts.html", page=page)


def _versioned(form: Versioned, version: int, *, renew: bool) -> Versioned:
    """The form with the version now kept, unless it must go on from the one it was opened with."""
    if renew:
        form.version.data = version
    return form
