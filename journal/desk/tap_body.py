"""What a device sent, read: a tap of the clock, or a form that was filled in without signal."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from journal.errors import BadInput
from journal.floor.taps import Key, Tap, Task, What

_LARGEST_COUNT = 2**31 - 1
_MOST_FIELDS = 200
_LONGEST_FIELD = 20_000


@dataclass(frozen=True, slots=True)
class Form:
    """A form as it was filled in.

    Attributes:
        sequence: the device's count.
        errand: what it is for, in a word.
        key: of the form itself, by which it is known however it comes.
        at: when it was filled in.
        fields: names and texts, in order; a name may come twice.
    """

    sequence: int
    errand: str
    key: str
    at: datetime
    fields: tuple[tuple[str, str], ...]


def is_form(body: object) -> bool:
    """Whether it says that it is a form."""
    return isinstance(body, Mapping) and "form" in body


def is_live(body: object) -> bool:
    """Whether somebody stands at the page and is told there why it was refused, so that it need not be kept aside."""
    return isinstance(body, Mapping) and "form" in body and body.get("live") is True


def read(body: object, device_id: int) -> Tap:
    """A tap as it was sent.

    Raises:
        BadInput: anything in it is missing or makes no sense.
    """
    if not isinstance(body, Mapping):
        raise BadInput("tap", str(body), "an event with its person, work, moment and count")
    sequence = _sequence(body)
    project = body.get("project")
    try:
        what = What(str(body.get("what")))
    except ValueError:
        raise BadInput("what", body.get("what"), ", ".join(What)) from None
    task = Task(
        None if project is None else _whole(body, "project"),
        str(body.get("work") or ""),
        by_stage=body.get("by_stage") is True,
    )
    return Tap(Key(device_id, sequence), _whole(body, "person"), what, task, read_moment(body.get("at")))


def read_form(body: object) -> Form:
    """A form as it was sent.

    Raises:
        BadInput: anything in it is missing or makes no sense.
    """
    if not isinstance(body, Mapping):
        raise BadInput("form", str(body), "a form with its key, moment and fields")
    listed = body.get("fields")
    if not isinstance(listed, list) or len(listed) > _MOST_FIELDS or not all(_is_field(one) for one in listed):
        raise BadInput("fields", listed, "names and texts")
    key = str(body.get("key"))
    fields = tuple((storable(name), storable(text)) for name, text in listed)
    return Form(_sequence(body), str(body.get("form")), storable(key), read_moment(body.get("at")), fields)


def count_of(body: object) -> int | None:
    """Its count, as far as it has one."""
    count = body.get("sequence") if isinstance(body, Mapping) else None
    return count if isinstance(count, int) and not isinstance(count, bool) else None


def storable(text: str) -> str:
    """A text a database takes: JSON may name half a character, or the one of no number, which is none."""
    return text.encode("utf-8", "replace").decode().replace("\0", "?")


def read_moment(value: object) -> datetime:
    """A moment with its zone, as scripts and the journal write it.

    Raises:
        BadInput: it is none.
    """
    try:
        moment = datetime.fromisoformat(str(value))
        found = moment.astimezone(UTC) if moment.tzinfo else None
    except (ValueError, OverflowError):
        found = None
    if found is None:
        raise BadInput("at", value, "a moment with its zone, such as 2026-03-01T18:30:00Z")
    return found


def _is_field(one: object) -> bool:
    return isinstance(one, list) and len(one) == 2 and all(isinstance(x, str) and len(x) <= _LONGEST_FIELD for x in one)


def _sequence(body: Mapping[str, object]) -> int:
    sequence = _whole(body, "sequence")
    if not 0 <= sequence <= _LARGEST_COUNT:
        raise BadInput("sequence", sequence, "a count from 0")
    return sequence


def _whole(body: Mapping[str, object], field: str) -> int:
    value = body.get(field)
    if not isinstance(value, int) or isinstance(value, bool) or abs(value) > _LARGEST_COUNT:
        raise BadInput(field, value, "a whole number")
    return value
