"""One board of the rack, and what is done with it and those like it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, url_for

from journal.desk import rack as desk
from journal.desk import rack_moves
from journal.errors import BadInput, Conflict
from journal.web import clash, forms, state
from journal.web.rack import pages
from journal.web.rack.blueprint import bp
from journal.web.rack.forms import NoteForm, OffForm, StretchForm, UseForm, project_choices

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask.typing import ResponseReturnValue
    from sqlalchemy.orm import Session

    from journal.records.queries.rack import ActRow

    Errand = Callable[[Session], ActRow]


@bp.get("/boards/<int:board_id>")
def board(board_id: int) -> ResponseReturnValue:
    """The board with its story."""
    return render_template("rack/board.html", page=_page(board_id))


@bp.post("/boards/<int:board_id>/use")
def use(board_id: int) -> ResponseReturnValue:
    """Planned for a project, drawn for it, or made free again."""
    form = UseForm()
    form.project.choices = _choices()
    if not form.validate_on_submit():
        return _refused(board_id, form)
    if not form.project.data and not form.free.data:
        form.project.errors = [*form.project.errors, "Choose a project."]
        return _refused(board_id, form)
    project_id = int(form.project.data or 0)
    now, today, count = state.now(), state.journal().today(), form.count.data

    def errand(session: Session) -> ActRow:
        if form.draw.data:
            return rack_moves.draw_alike(session, board_id, count, project_id, today=today, now=now)
        wanted = None if form.free.data else project_id
        return rack_moves.plan_for(session, board_id, count, wanted, today=today, now=now)

    return _do(board_id, form, errand)


@bp.post("/boards/<int:board_id>/off")
def write_off(board_id: int) -> ResponseReturnValue:
    """Struck off, with the reason."""
    form = OffForm()
    if not form.validate_on_submit():
        return _refused(board_id, form)
    now, today = state.now(), state.journal().today()
    return _do(
        board_id,
        form,
        lambda session: rack_moves.write_off(session, board_id, form.count.data, form.why.data, today=today, now=now),
    )


@bp.post("/boards/<int:board_id>/stretch")
def stretch(board_id: int) -> ResponseReturnValue:
    """A stretch that no part may lie over."""
    form = StretchForm()
    if not form.validate_on_submit():
        return _refused(board_id, form)
    marked = (form.start.data, form.end.data, form.why.data)
    now, today = state.now(), state.journal().today()
    return _do(
        board_id,
        form,
        lambda session: rack_moves.note_stretch(
            session, board_id, marked, version=form.version.data, today=today, now=now
        ),
        stay=True,
    )


@bp.post("/boards/<int:board_id>/stretch/<int:place>/clear")
def clear_stretch(board_id: int, place: int) -> ResponseReturnValue:
    """The mark off again."""
    form = NoteForm()
    if not form.validate_on_submit():
        return _refused(board_id, form)
    now, today = state.now(), state.journal().today()
    return _do(
        board_id,
        form,
        lambda session: rack_moves.forget_stretch(
            session, board_id, place, version=form.version.data, today=today, now=now
        ),
        stay=True,
    )


@bp.post("/boards/<int:board_id>/note")
def note(board_id: int) -> ResponseReturnValue:
    """Something written on it."""
    form = NoteForm()
    if not form.validate_on_submit():
        return _refused(board_id, form)
    now, today = state.now(), state.journal().today()

    def errand(session: Session) -> ActRow:
        return rack_moves.put_note(session, board_id, form.note.data, version=form.version.data, today=today, now=now)

    try:
        return _do(board_id, form, errand, stay=True)
    except Conflict:
        clash.show_both(form, _page(board_id).note)
        return render_template("rack/board.html", page=_page(board_id, form)), clash.status(form)


def _do(board_id: int, form: forms.JournalForm, errand: Errand, *, stay: bool = False) -> ResponseReturnValue:
    """Do it and say so; a refusal goes back to its box."""
    try:
        with state.writing() as session:
            done = errand(session)
    except BadInput as refusal:
        forms.attach(form, _as_boxes_say(refusal))
        return _refused(board_id, form)
    flash(f"{done.said[:1].upper()}{done.said[1:]}.", "good")
    return redirect(url_for("rack.board", board_id=board_id) if stay else url_for("rack.index"))


def _as_boxes_say(refusal: BadInput) -> BadInput:
    """The desk speaks of boards where the page asks how many."""
    return BadInput("count", refusal.received, refusal.expected) if refusal.field == "boards" else refusal


def _refused(board_id: int, form: forms.JournalForm) -> ResponseReturnValue:
    return render_template("rack/board.html", page=_page(board_id, form)), 422


def _choices() -> list[forms.SelectChoice]:
    with state.reading() as session:
        return project_choices(desk.open_projects(session), "choose")


def _page(board_id: int, sent: forms.JournalForm | None = None) -> pages.BoardView:
    with state.reading() as session:
        found = desk.board_page(session, board_id)
    first = found.kind.first
    made = {
        UseForm: UseForm(formdata=None, count=1, project=str(first.project_id or "")),
        OffForm: OffForm(formdata=None),
        StretchForm: StretchForm(formdata=None, version=first.version),
        NoteForm: NoteForm(formdata=None, note=first.note, version=first.version),
    }
    if sent is not None:
        made[type(sent)] = sent
    made[UseForm].project.choices = _choices()
    return pages.BoardView(
        found, made[UseForm], made[OffForm], made[StretchForm], made[NoteForm], state.journal().today()
    )
