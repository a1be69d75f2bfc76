"""Forms that wait in a browser while there is no signal: what takes each in, by the word that its page gives it.

    <form data-late="coat" data-name="what it is, in a few words">

The same errand is done as by the form's own address; only its moment is that at which it was filled in. A section says
with `waits` what takes its form in; `static/js/taps.js` keeps it and sends it along with the taps of the clock.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from werkzeug.datastructures import MultiDict

from journal.desk.sending import Sending
from journal.errors import BadInput, JournalError
from journal.web import state

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session

    from journal.desk.tap_body import Form
    from journal.web.forms import JournalForm

    Fields = MultiDict[str, str]
    Errand = Callable[[Session, Fields, Sending], object]

_ERRANDS: dict[str, Errand] = {}
_LONGEST_COUNT = 9


def waits(word: str) -> Callable[[Errand], Errand]:
    """Say what takes in the forms that bear this word."""

    def take(errand: Errand) -> Errand:
        _ERRANDS[word] = errand
        return errand

    return take


def take(session: Session, form: Form) -> str:
    """Do what a form asks for, as of its moment.

    Raises:
        JournalError: whatever the errand refuses; no such form.
    """
    if form.errand not in _ERRANDS:
        raise BadInput("form", form.errand, ", ".join(sorted(_ERRANDS)))
    sent = Sending(form.key, state.journal().today(), state.zone(), state.now(), form.at)
    return str(_ERRANDS[form.errand](session, MultiDict(form.fields), sent))


def require(form: JournalForm) -> None:
    """Refuse a form with anything in it that cannot be taken.

    Raises:
        JournalError: says which box and why.
    """
    if not form.validate():
        said = [f"{field.label.text}: {' '.join(map(str, field.errors))}" for field in form if field.errors]
        raise JournalError("; ".join(said))


def whole(fields: Fields, name: str) -> int:
    """A whole number as our own pages write it.

    Raises:
        BadInput: it is none.
    """
    text = fields.get(name, "")
    if not (text.isascii() and text.isdecimal() and len(text) <= _LONGEST_COUNT):
        raise BadInput(name, text, "one of those on the page")
    return int(text)
