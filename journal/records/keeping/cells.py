"""A value of a column as one cell of text, and back, exactly.

Nothing is an empty cell. Text that is empty, or that a spreadsheet would take for a formula, gets an apostrophe before
it, as does text that begins with one; so no cell of text can run as a formula (OWASP, CSV injection), and every cell
reads back as it was. Numbers are written bare: a minus before digits is no formula.
"""

from __future__ import annotations

import json
from base64 import b64decode, b64encode
from datetime import UTC, date, datetime
from enum import Enum
from typing import TYPE_CHECKING, Any

from sqlalchemy import JSON, Boolean, Date, DateTime, Float, Integer, LargeBinary, String, TypeDecorator

from journal.errors import BadInput
from journal.records.base import canonical

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy import Column

_RISKY = ("'", "=", "+", "-", "@", "\t", "\r", "\n")


def as_text(value: object) -> str:
    """The cell of a value.

    Raises:
        TypeError: a kind of value that no column holds.
    """
    if value is None:
        return ""
    for kind, write in _WRITE:
        if isinstance(value, kind):
            return write(value)
    raise TypeError(f"{type(value).__name__} has no form as a cell")


def from_text(text: str, column: Column[Any]) -> Any:  # noqa: ANN401 - whatever the column holds
    """The value that a cell of this column stands for.

    Raises:
        BadInput: the cell cannot be read as what the column holds.
    """
    if text == "":
        return None
    kind = column.type.impl_instance if isinstance(column.type, TypeDecorator) else column.type
    read = next(read for form, read in _READ if isinstance(kind, form))
    try:
        return read(text)
    except (ValueError, TypeError) as error:
        expected = f"{type(kind).__name__.lower()} as this program writes it"
        raise BadInput(f"{column.table.name}.{column.name}", text, expected) from error


def _text(value: str) -> str:
    return f"'{value}" if not value or value.startswith(_RISKY) else value


def _flag(text: str) -> bool:
    if text not in ("yes", "no"):
        raise ValueError(text)
    return text == "yes"


# The first that fits holds: a flag is a number to Python, a moment is a day, and a word of a list is text.
_WRITE: tuple[tuple[type | tuple[type, ...], Callable[[Any], str]], ...] = (
    (Enum, lambda word: _text(word.value)),
    (str, _text),
    (bool, lambda flag: "yes" if flag else "no"),
    (int, str),
    (float, repr),
    (datetime, lambda moment: moment.astimezone(UTC).isoformat()),
    (date, date.isoformat),
    (bytes, lambda held: b64encode(held).decode("ascii")),
    ((dict, list), canonical),
)
_READ: tuple[tuple[type, Callable[[str], Any]], ...] = (
    (Boolean, _flag),
    (Integer, int),
    (Float, float),
    (DateTime, datetime.fromisoformat),
    (Date, date.fromisoformat),
    (LargeBinary, lambda text: b64decode(text, validate=True)),
    (JSON, json.loads),
    (String, lambda text: text.removeprefix("'")),
)
