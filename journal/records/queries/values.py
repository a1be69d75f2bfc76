"""From a row to a frozen value, and the checks that drafts share."""

from dataclasses import fields
from functools import cache
from typing import TypeVar

from journal.errors import BadInput, Conflict

Value = TypeVar("Value")


def to_value(kind: type[Value], row: object, **worked: object) -> Value:
    """A frozen value of a kind: each field from `worked`, else from the row's attribute of the same name."""
    return kind(**{name: getattr(row, name) for name in _names(kind) if name not in worked}, **worked)


@cache
def _names(kind: type) -> tuple[str, ...]:
    """Thousands of rows are of one kind."""
    return tuple(field.name for field in fields(kind))


def require_text(field: str, text: str, expected: str) -> None:
    """Refuse an empty text."""
    if not text.strip():
        raise BadInput(field, text, expected)


def require_from(field: str, value: float | None, low: float, expected: str) -> None:
    """Refuse a number under `low`; nothing is no number."""
    if value is not None and not value >= low:  # so that not-a-number is refused as well
        raise BadInput(field, value, expected)


def require_version(what: str, found: int, expected: int) -> None:
    """Refuse a change made to an older state than the stored one."""
    if found != expected:
        raise Conflict(what, "open it again and repeat the change")
