"""The search over all that was ever written down."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import render_template, request, url_for

from journal.desk.note_search import search as find
from journal.desk.note_words import LONGEST_WORDS
from journal.web import state
from journal.web.notes import pages
from journal.web.notes.blueprint import bp
from journal.web.notes.forms import SearchForm
from journal.web.work_choice import read_work, work_choices

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue


@bp.get("/notes")
def search() -> ResponseReturnValue:
    """What was written down, by its words and by the work it is about."""
    form = SearchForm(request.args).offer()
    typed = (form.q.data or "")[:LONGEST_WORDS]
    codes = _codes(form.work.data or "")
    if not codes:
        form.work.data = ""
    with state.reading() as session:
        found = find(session, typed, codes, request.args.get("page", 1, type=int))
    asked = {"q": typed or None, "work": form.work.data or None}

    def at(number: int) -> str | None:
        return url_for("notes.search", page=number, **asked) if 1 <= number <= found.pages else None

    page = pages.SearchPage(
        found=found,
        lines=tuple(pages.hit_line(hit) for hit in found.hits),
        form=form,
        narrowed=url_for("notes.search", q=typed or None) if codes else None,
        newer=at(found.page - 1),
        older=at(found.page + 1),
    )
    return render_template("notes/search.html", page=page)


def _codes(value: str) -> frozenset[str]:
    """The operation chosen, or a stage with its operations; none: all work."""
    book = state.book()
    if value not in {choice.value for choice in work_choices()}:
        return frozenset()
    task = read_work(value, None)
    return frozenset({task.code, *(code for code, entry in book.items() if task.by_stage and entry.stage == task.code)})
