"""The stock-take: a list with a box a kind, for a phone at the rack; boxes left empty were not counted."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from journal import units
from journal.build.tally import MOST_BOARDS
from journal.desk import rack as desk
from journal.desk import rack_moves, shelf
from journal.errors import BadInput
from journal.web import forms, state
from journal.web.rack import pages
from journal.web.rack.blueprint import bp

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

_PIECES = f"a whole number from 0 to {shelf.MOST:,}"
_EXPECTED = f"a whole number from 0 to {MOST_BOARDS}"


@bp.get("/count")
def count() -> ResponseReturnValue:
    """The sheet."""
    return render_template("rack/count.html", page=pages.CountPage(_stocks(), _shelf()))


@bp.post("/count")
def count_send() -> ResponseReturnValue:
    """What was counted: what is missing comes off, what is more goes on."""
    form = forms.JournalForm()
    if not form.validate_on_submit():
        raise BadInput("form", "", "the one on the page")
    stocks, shelved = _stocks(), tuple(_read_shelf(line) for line in _shelf())
    read = tuple((code, tuple(_read(line) for line in lines)) for code, lines in stocks)
    lines = [line for _, each in read for line in each]
    if any(line.error for line in (*lines, *shelved)):
        return render_template("rack/count.html", page=pages.CountPage(read, shelved, refused=True)), 422
    found = {line.kind.first.id: (_listed(line), int(line.value)) for line in lines if line.value}
    on_shelf = {line.one.place.key: (_listed_there(line), _amount(line)) for line in shelved if line.value}
    today = state.journal().today()
    with state.writing() as session:
        counted = shelf.count(on_shelf, shelf.shelf(session), today) if on_shelf else []
        done = rack_moves.count_stock(session, found, counted, today=today, now=state.now())
    if not found and not on_shelf:
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


def _shelf() -> tuple[pages.ShelfCount, ...]:
    with state.reading() as session:
        return tuple(pages.ShelfCount(one, f"shelf-{one.place.key}") for one in shelf.places(session))


def _listed_there(line: pages.ShelfCount) -> float:
    """How much the sheet listed; the desk refuses when that is not so any more."""
    try:
        return float(request.form.get(f"listed-{line.name}", ""))
    except ValueError:
        return -1.0


def _amount(line: pages.ShelfCount) -> float:
    """What was typed, in millilitres or pieces.

    Raises:
        BadInput: it cannot be read.
    """
    if line.one.place.liquid:
        if line.value.strip() == "0":
            return 0.0
        return units.parse_liquid(line.value, line.one.place.item.code, mark=state.display().mark)
    count = forms.read_number(line.value, line.one.place.item.code, _PIECES)
    if count != count.to_integral_value() or not 0 <= count <= shelf.MOST:
        raise BadInput(line.one.place.item.code, line.value, _PIECES)
    return float(count)


def _read_shelf(line: pages.ShelfCount) -> pages.ShelfCount:
    typed = replace(line, value=request.form.get(line.name, "").strip())
    if not typed.value:
        return typed
    try:
        amount = _amount(typed)
    except BadInput as refusal:
        return replace(typed, error=forms.explain(refusal))
    return typed if amount <= shelf.MOST else replace(typed, error=f"Expected at most {shelf.MOST:,} ml.")


def _read(line: pages.CountLine) -> pages.CountLine:
    text = request.form.get(line.name, "").strip()
    if not text:
        return line
    if text.isascii() and text.isdigit() and int(text[:9]) <= MOST_BOARDS:
        return replace(line, value=text)
    return replace(line, value=text, error=f"Read “{text[:40]}”, expected {_EXPECTED}.")
