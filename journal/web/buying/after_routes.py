"""Boards of the rack drawn; after cutting, what is left goes back and receipts are told what became of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from journal.desk import after_cutting as desk
from journal.errors import BadInput
from journal.web import forms, state
from journal.web.buying import after_form, pages
from journal.web.buying.blueprint import bp
from journal.web.buying.forms import DrawForm, draw_form

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.after_cutting import After
    from journal.web.buying.after_form import AfterRows


@bp.post("/<int:project_id>/buy/draw")
def buy_draw(project_id: int) -> ResponseReturnValue:
    """The boards of the rack that the page listed are taken."""
    form = DrawForm()
    numbers = [int(each) for each in (form.numbers.data or "").split(",") if each.isascii() and each.isdigit()]
    if not form.validate_on_submit() or not numbers:
        raise BadInput("boards", form.numbers.data or "", "the boards on the page")
    with state.writing() as session:
        done = desk.draw(session, project_id, numbers, today=state.journal().today(), now=state.now())
    flash(f"{done.said[:1].upper()}{done.said[1:]}. It can be undone on the rack.", "good")
    return redirect(url_for("buying.buy", project_id=project_id, _anchor="from-the-rack"))


@bp.get("/<int:project_id>/buy/after")
def buy_after(project_id: int) -> ResponseReturnValue:
    """What is left, and what became of what was bought."""
    found = _found(project_id)
    return _show(found, after_form.rows_for(found), forms.JournalForm(formdata=None))


@bp.post("/<int:project_id>/buy/after")
def buy_after_send(project_id: int) -> ResponseReturnValue:
    """What is told."""
    found, form = _found(project_id), forms.JournalForm()
    rows = after_form.read(after_form.rows_for(found), request.form)
    if not form.validate_on_submit() or rows.wrong:
        return _show(found, rows, form), 422
    today, now = state.journal().today(), state.now()
    try:
        with state.writing() as session:
            done = desk.tell(session, project_id, after_form.back(rows), after_form.fates(rows), today=today, now=now)
    except BadInput as refusal:
        forms.attach(form, refusal)
        return _show(found, rows, form), 422
    flash(f"{done.said[:1].upper()}{done.said[1:]}. It can be undone on the rack.", "good")
    return redirect(url_for("buying.buy_after", project_id=project_id))


def _found(project_id: int) -> After:
    with state.reading() as session:
        return desk.after(session, project_id, state.journal().today())


def _show(found: After, rows: AfterRows, form: forms.JournalForm) -> str:
    draw = draw_form([board.id for board in found.to_draw])
    page = pages.AfterPage(found.shopping.project, found, rows, form, draw)
    return render_template("buying/after.html", page=page)
