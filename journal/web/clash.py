"""Somebody else changed what a form is about while it was open: both versions are shown, box by box.

The form keeps what was typed; beside each box that differs stands what is kept now. Sent again, it goes in the
place of the other's, knowingly.
"""

from __future__ import annotations

from datetime import time
from typing import TYPE_CHECKING

from wtforms import BooleanField, FieldList, FormField, HiddenField, SelectField

from journal.web.forms import ParsedField

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wtforms import Field

    from journal.web.forms import JournalForm

CHANGED = (
    "Somebody else changed this since the page was opened; what is kept now stands beside each box that differs. What you "
    "typed is still there: send it again to put it in place of theirs."
)
CONFLICT, REFUSED, SHOWN = 409, 422, 200


def show_both(form: JournalForm, kept: JournalForm | None = None, *, mark: str = "version") -> None:
    """Put beside each box what is kept now, and have the form go on from that.

    Args:
        form: as it was sent.
        kept: the same form filled in with what is kept now; None where `form` itself was made from that.
        mark: the hidden field that tells which version a page was made from.
    """
    there = dict(_boxes(kept)) if kept is not None else {}
    for name, field in _boxes(form):
        now = there[name].data if name in there else field.object_data
        if isinstance(field, HiddenField):
            if field.short_name == mark:
                field.data, field.raw_data = now, None
        elif (now or None) != (field.data or None):
            field.errors = [*field.errors, f"Kept now: {_said(field, now)}."]
    form.form_errors.append(CHANGED)
    form.clashed = True


def status(*forms: JournalForm | None) -> int:
    """The status of a page that shows these forms."""
    there = [form for form in forms if form is not None]
    if any(form.clashed for form in there):
        return CONFLICT
    return REFUSED if any(form.refused() for form in there) else SHOWN


def _boxes(fields: Iterable[Field]) -> Iterator[tuple[str, Field]]:
    for field in fields:
        if isinstance(field, FieldList | FormField):
            yield from _boxes(field)
        else:
            yield field.name, field


def _said(field: Field, value: object) -> str:
    if isinstance(field, BooleanField):
        return "a tick" if value else "no tick"
    if value in (None, "", []):
        return "nothing"
    if isinstance(field, ParsedField):
        return f"“{field.show(value)}”"
    if isinstance(field, SelectField):
        labels = {str(choice.value): str(choice.label) for choice in field.iter_choices()}
        return f"“{labels.get(str(value), str(value))}”"
    if isinstance(value, time):
        return f"{value:%H:%M}"
    if isinstance(value, list):
        return ", ".join(f"“{one}”" for one in value)
    return f"“{value}”"
