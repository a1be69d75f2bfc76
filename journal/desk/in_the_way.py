"""What stands in the way of taking back something done to the log, coats, glue-ups, notes or photos."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from journal.records.queries import lately as records

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from sqlalchemy.orm import Session

    from journal.records.queries.acts import ActRow
    from journal.records.queries.lately import Subject

Step = dict[str, Any]
Key = tuple[str, Any]

LATER = "something was done with it later: take that back first"
CHANGED = "it was changed since: put it right by hand"
_ENTRY, _TAP, _PHOTO = "entry", "tap", "photo"
_ABOUT = {"remove": _ENTRY, "restore": _ENTRY, "change": _ENTRY, "void": _TAP, "unvoid": _TAP}


def key_of(step: Step) -> Key:
    """What a step is about: a kind and its number."""
    do = step["do"]
    if do in _ABOUT:
        return _ABOUT[do], step[_ABOUT[do]]
    if do == "built":
        return do, (step["project"], step["operation"])
    if do == "not_begun":
        return "move", step["move"]
    return do.removeprefix("no_"), step["id"]


def touched(acts: Iterable[ActRow]) -> frozenset[Key]:
    """All that some acts are about."""
    return frozenset(key_of(step) for act in acts for step in act.steps)


def subjects_of(session: Session, acts: Sequence[ActRow]) -> dict[tuple[str, int], Subject]:
    """How what some acts are about stands now. A constant number of statements."""
    ids: dict[str, set[int]] = {}
    for kind, number in touched(acts):
        if isinstance(number, int):
            ids.setdefault(kind, set()).add(number)
    return records.subjects(session, ids)


def reasons(acts: Sequence[ActRow], subjects: Mapping[tuple[str, int], Subject]) -> dict[int, str]:
    """Why an act cannot be taken back, by its number; nothing for one that can, or was.

    Args:
        acts: the newest ones without a gap, newest first: what was done later is among them.
        subjects: how what they are about stands now.
    """
    later: set[Key] = set()
    found: dict[int, str] = {}
    for act in acts:
        if act.undone_at is not None:
            continue
        keys = {key_of(step) for step in act.steps}
        if keys & later:
            found[act.id] = LATER
        elif any(_changed(step, subjects) for step in act.steps):
            found[act.id] = CHANGED
        later |= keys
    return found


def _changed(step: Step, subjects: Mapping[tuple[str, int], Subject]) -> bool:
    """Whether what a step would put back is not as the step left it; as the step itself would find."""
    there = subjects.get(key_of(step))
    if there is None:
        return False
    if step["do"] == _PHOTO:
        return (there.values["removed_at"] is not None) == step["removed"]
    return any(_plain(there.values[name]) != value for name, value in step.get("from", {}).items())


def _plain(value: object) -> object:
    return value.isoformat() if isinstance(value, date) else value
