"""The ballpark: length, depth, wood; a price and hours at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import render_template, request, url_for

from journal import units
from journal.desk import ballpark as desk
from journal.desk import designs
from journal.errors import JournalError
from journal.web import state
from journal.web.designs.blueprint import bp
from journal.web.designs.forms import BallparkForm, as_sent
from journal.web.designs.pages import BallparkPage
from journal.web.designs.routes import bearings

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.ballpark import Ballpark, Built
    from journal.quote.ballpark import Band

_USUAL = {"length": units.inches(72), "depth": units.inches(24)}


def hours_band(band: Band) -> str:
    """A range of whole hours: “41 – 58 h”."""
    return state.in_marks(f"{band.low:,.0f} – {band.high:,.0f} h")


def own_hours(built: Built) -> str:
    """The hours one of the shop's own benches took."""
    return state.in_marks(units.format_hours(built.hours * 60))


def design_url(found: Ballpark) -> str:
    """The design with the sizes it was worked out at, to go on from."""
    sent = as_sent(designs.ready(found.design), found.given)
    return url_for("designs.show", word=found.design.word, **sent)


bp.add_app_template_filter(hours_band)
bp.add_app_template_filter(own_hours)
bp.add_app_template_filter(design_url)


@bp.get("/ballpark")
def ballpark() -> ResponseReturnValue:
    """A bench of a common size at once; of any other, as it is typed."""
    page = _page()
    return render_template("designs/ballpark.html", page=page), 422 if page.form.errors or page.trouble else 200


@bp.get("/ballpark/live")
def ballpark_live() -> ResponseReturnValue:
    """The figures alone, as the pieces of the page that change."""
    return render_template("designs/ballpark_live.html", page=_page())


def _page() -> BallparkPage:
    asked = "length" in request.args or "depth" in request.args
    form = BallparkForm(formdata=request.args if asked else None, data=None if asked else _USUAL)
    found: Ballpark | None = None
    trouble = ""
    now = bearings()
    with state.reading() as session:
        listed = [(entry.word, entry.title) for entry in designs.shelf(session) if desk.sized(entry)]
        form.offer(designs.woods(now.shop), now.shop.row.default_species, listed)
        if not asked or form.validate():
            word, wood = form.kind.data or "", form.wood.data or ""
            try:
                found = desk.ballpark(session, form.length.data, form.depth.data, wood, now, word=word)
            except JournalError as refused:
                trouble = str(refused)
    return BallparkPage(form, found, trouble)
