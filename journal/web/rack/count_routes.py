"""The stock-take: a list with a box a kind, for a phone at the rack; boxes left empty were not counted."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from journal.build.tally import MOST_BOARDS
from journal.desk import rack as desk
from journal.desk import rack_moves
from journal.errors import BadInput
from journal.web import forms, state
from journal.web.rack import pages
from journal.web.rack.blueprint import bp

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

_EXPECTED = f"a whole number from 0 to {MOST_BOARDS}"


@bp.get("/count")
def count() -> ResponseReturnValue:
    """The sheet."""
    return render_template("rack/count.html", page=pages.CountPage(_stocks()))


@bp.post("/count")
def count_send() -> ResponseReturnValue:
    """What was counted: what is missing comes off, what is more goes on."""
    form = forms.JournalForm()
    if not form.validate_on_submit():
        raise BadInput("form", "", "the one on the page")
    stocks = _stocks()
    read = tuple((code, tuple(_read(line) for line in lines)) for code, lines in stocks)
    lines = [line for _, each in read for line in each]
    if any(line.error for line in lines):
        return render_template("rack/count.html", page=pages.CountPage(read, refused=True)), 422
    found = {line.kind.first.id: (_listed(line), int(line.value)) for line in lines if line.value}
    with state.writing() as session:
        done = rack_moves.count_stock(session, found, today=state.journal().today(), now=state.now())
    if not found:
        flash("Nothing was counted.", "care")
    else:
        flash(f"{done.said[:1].upper()}{done.said[1:]}." if done else "All there, as listed.", "good")
    return redirect(url_for("rack.index"))


def _stocks() -> tuple[tuple[str, tuple[pages.CountLine, ...]], ...]:
    with state.reading() as session:
        found = desk.shown(session, state.journal().today())
    return tuple(
        (stock.code, tuple(pages.CountLine(kind, f"there-{kind.first.id}") for kind in stock.kinds))
        for stock in found.stocks
    )


def _listed(line: pages.CountLine) -> int:
    """How many the sheet listed; the desk refuses when that is not so any more."""
    text = request.form.get(f"listed-{line.kind.first.id}", "")
    return int(text) if text.isascii() and text.isdigit() else -1


def _read(line: pages.CountLine) -> pages.CountLine:
    text = request.form.get(line.name, "").strip()
    if not text:
        return line
    if text.isascii() and text.isdigit() and int(text[:9]) <= MOST_BOARDS:
        return replace(line, value=text)
    return replace(line, value=text, error=f"Read “{text[:40]}”, expected {_EXPECTED}.")
