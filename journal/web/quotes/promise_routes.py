"""How sure is what is about to be promised? A piece of the pages that promise, asked for while it is typed."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from flask import render_template, request

from journal import units
from journal.desk import projects
from journal.desk.short_promise import short_promise
from journal.web import state
from journal.web.days.pages import weeks_text
from journal.web.quotes.blueprint import bp
from journal.web.quotes.forms import PromiseForm
from journal.web.quotes.pages import PromisePage

if TYPE_CHECKING:
    from decimal import Decimal

    from flask.typing import ResponseReturnValue

    from journal.desk.short_promise import ShortPromise


@bp.get("/projects/<int:project_id>/quote/promise")
def show_promise(project_id: int) -> ResponseReturnValue:
    """What Days says of `?weeks=` from today, or of `?day=`; nothing where they are enough or cannot be read."""
    form, today = PromiseForm(request.args), state.journal().today()
    form.validate()
    what, promised_days = "", None
    if form.weeks.data is not None and not form.weeks.errors and form.weeks.data * 2 % 1 == 0:
        what, promised_days = _weeks_words(form.weeks.data), math.ceil(form.weeks.data * 7)
    elif form.day.data and not form.day.errors:
        what = f"Promised for {units.format_day(form.day.data, state.display().day_form)}"
        promised_days = (form.day.data - today).days
    with state.reading() as session:
        project = projects.one(session, project_id)
        short = None if promised_days is None else short_promise(session, project_id, promised_days, today)
    return render_template("quotes/promise.html", page=PromisePage(project, short_words(what, short)))


def short_of_weeks(project_id: int, weeks: Decimal | None) -> str:
    """The caution about weeks that are promised; '' where there is none."""
    if weeks is None:
        return ""
    with state.reading() as session:
        short = short_promise(session, project_id, math.ceil(weeks * 7), state.journal().today())
    return short_words(_weeks_words(weeks), short)


def short_words(what: str, short: ShortPromise | None) -> str:
    """“10 weeks: kept 0 of 100 times; Days says 37½ weeks.”; '' where there is nothing to say."""
    if short is None:
        return ""
    return f"{what}: kept {round(100 * short.chance)} of 100 times; Days says {weeks_text(short.weeks)}."


def _weeks_words(weeks: Decimal) -> str:
    shown = weeks_text(float(weeks))
    return shown[:1].upper() + shown[1:]
