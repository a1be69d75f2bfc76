"""The list of a project's entries, adding one, quantities built, the sheet of codes."""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO
from typing import TYPE_CHECKING

import segno
from flask import render_template, request, url_for
from markupsafe import Markup
from werkzeug.utils import redirect

from journal import reference
from journal.desk import acts, bench, log_view
from journal.desk import logging as desk
from journal.errors import BadInput
from journal.records.queries.logbook import Sought
from journal.web import forms, state
from journal.web.config import LOOPBACK
from journal.web.log import pages
from journal.web.log.blueprint import bp
from journal.web.log.forms import AmountForm, EntryForm, SoughtForm
from journal.web.security import host_name
from journal.web.who import who_of
from journal.web.work_choice import work_value

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.bench import StageChoice
    from journal.records.queries.log import QuantityRow

_LONGEST_WORDS = 200


@bp.get("/<int:project_id>/log")
def show(project_id: int) -> ResponseReturnValue:
    """A page of the log."""
    return _show(project_id)


@bp.post("/<int:project_id>/log")
def show_add(project_id: int) -> ResponseReturnValue:
    """Add an entry."""
    form = _offered(EntryForm())
    if not form.validate_on_submit():
        return _show(project_id, form=form), 422
    try:
        with state.writing() as session:
            desk.add(session, form.wanted(project_id), sent=state.sending())
    except BadInput as refusal:
        forms.attach(form, refusal)
        return _show(project_id, form=form), 422
    return redirect(url_for("log.show", project_id=project_id), code=303)


@bp.post("/<int:project_id>/log/built")
def show_built(project_id: int) -> ResponseReturnValue:
    """Note how much of an operation was built."""
    form = AmountForm().offer(state.book())
    if not form.validate_on_submit():
        return _show(project_id, amount=form), 422
    try:
        with state.writing() as session:
            desk.build(session, project_id, form.operation.data, float(form.quantity.data), sent=state.sending())
    except BadInput as refusal:
        forms.attach(form, refusal)
        return _show(project_id, amount=form), 422
    return redirect(url_for("log.show", project_id=project_id, _anchor="quantities"), code=303)


@bp.get("/<int:project_id>/log/codes")
def show_codes(project_id: int) -> ResponseReturnValue:
    """Codes to print and pin up: each leads to the one tap that starts its operation."""
    with state.reading() as session:
        choice = bench.choices(session, project_id)
    stages = tuple((stage.name, _codes(project_id, stage)) for stage in choice.planned)
    here_only = host_name(request.host) in LOOPBACK
    return render_template("log/codes.html", page=pages.CodesPage(choice.project, stages, here_only))


def _codes(project_id: int, stage: StageChoice) -> tuple[pages.Code, ...]:
    addresses = {
        name: url_for("floor.start", project=project_id, work=code, _external=True) for code, name in stage.operations
    }
    return tuple(pages.Code(name, _drawn(address, f"Starts {name}")) for name, address in addresses.items())


@lru_cache(maxsize=512)
def _drawn(address: str, title: str) -> Markup:
    """An address as a code to point a phone at; drawn once, as fifty of them take half a second."""
    drawing = BytesIO()
    segno.make(address, error="m").save(drawing, kind="svg", xmldecl=False, svgns=True, omitsize=True, border=2, light="white",
                                        svgclass="code-svg", lineclass="code-line", title=title)  # fmt: skip
    return Markup(drawing.getvalue().decode())  # noqa: S704 - drawn here, texts escaped


def _offered(form: EntryForm) -> EntryForm:
    with state.reading() as session:
        return form.offer(bench.places(session))


def _show(project_id: int, *, form: EntryForm | None = None, amount: AmountForm | None = None) -> str:
    sought, page = SoughtForm(request.args).offer(), request.args.get("page", 1, type=int)
    wanted = _sought(sought)
    with state.reading() as session:
        log = log_view.log_page(session, project_id, wanted, page)
        last, workers = acts.newest(session, state.now()), bench.places(session)
        amounts = _amounts(log_view.amounts(session, project_id))
    fresh = EntryForm(formdata=None).offer(workers)
    fresh.on_date.data = state.journal().today()
    mine = who_of(workers)
    fresh.worker.data = str(mine[0]) if mine else ""
    if log.entries and not form:
        newest = log.entries[0]
        fresh.work.data = work_value(log_view.task_of(newest))
    asked = {
        "stage": sought.stage.data or None,
        "words": wanted.words or None,
        "removed": "y" if wanted.removed else None,
    }

    def at(number: int) -> str | None:
        there = 1 <= number <= log.pages
        return url_for("log.show", project_id=project_id, page=number, **asked) if there else None

    return render_template(
        "log/index.html",
        page=pages.ListPage(
            log=log,
            days=pages.day_lines(log, state.zone()),
            newer=at(log.page - 1),
            older=at(log.page + 1),
            sought=sought,
            found=wanted != Sought(),
            form=form or fresh,
            adding=form is not None,
            amounts=amounts,
            amount=amount or AmountForm(formdata=None).offer(state.book()),
            last=last,
        ),
    )


def _sought(form: SoughtForm) -> Sought:
    stage = form.stage.data or ""
    known = stage in reference.stages()
    codes = {stage, *(code for code, entry in state.book().items() if entry.stage == stage)} if known else set()
    return Sought(frozenset(codes), (form.words.data or "")[:_LONGEST_WORDS].strip(), removed=form.removed.data)


def _amounts(found: tuple[QuantityRow, ...]) -> tuple[pages.Amount, ...]:
    places = {code: place for place, code in enumerate(state.book())}
    listed = sorted((row for row in found if row.operation in places), key=lambda row: places[row.operation])
    return tuple(
        pages.Amount(
            row.operation,
            state.book()[row.operation].name,
            state.book()[row.operation].unit,
            round(row.quantity, 1),
            row.as_built,
        )
        for row in listed
    )
