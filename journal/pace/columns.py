"""Which column of a spreadsheet of past jobs holds what, and what the user has decided about it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.pace import own
from journal.pace.cells import DayOrder
from journal.pace.evidence import loose

if TYPE_CHECKING:
    from collections.abc import Mapping

    from journal.pace.own import OwnWork
    from journal.pace.sheet import Sheet

LEAVE_OUT = "-"  # decided for a word: its rows are left out
LONGEST_PREFIX = 20


class Role(StrEnum):
    """What a column holds."""

    UNUSED = ""
    PROJECT = "project"
    TITLE = "title"
    DATE = "date"
    WORK = "work"
    QUANTITY = "quantity"
    UNIT = "unit"
    SETUPS = "setups"
    MINUTES = "minutes"
    HOURS = "hours"
    PEOPLE = "people"
    REWORK = "rework"
    NOTE = "note"


TIMES = (Role.MINUTES, Role.HOURS)
_NEEDED = {
    Role.PROJECT: "which project a row belongs to",
    Role.DATE: "the day",
    Role.WORK: "the operation or stage",
}
_HEADINGS = {
    Role.PROJECT: "project projects job jobs projectno projectnumber jobno jobnumber projectcode commission order bench",
    Role.TITLE: "title name projecttitle jobtitle projectname jobname description",
    Role.DATE: "date day on when dated delivered finished done datedone",
    Role.WORK: "operation operations op task work stage activity what step process",
    Role.QUANTITY: "quantity qty amount count howmuch units done number",
    Role.UNIT: "unit uom per measure",
    Role.SETUPS: "setups setup",
    Role.MINUTES: "minutes mins min time duration timemin timeminutes timeminmin spent timespent actualminutes",
    Role.HOURS: "hours hrs hr h timeh timehours timehrs hoursspent actualhours manhours",
    Role.PEOPLE: "people persons hands men crew workers",
    Role.REWORK: "rework redone doneagain again",
    Role.NOTE: "note notes remark remarks comment comments",
}
_ROLE_OF = {word: role for role, words in _HEADINGS.items() for word in words.split()}


@dataclass(frozen=True, slots=True)
class Choices:
    """How a sheet is to be read.

    Attributes:
        roles: a role a column.
        words: a word of the work column (loosely written) → code of an operation or stage, or LEAVE_OUT.
        days: how days without the year in front are written.
        repeated: several rows of one operation of one project carry its whole quantity, each the same.
        filled_down: an empty project, title or day is that of the row above.
        added: operations of the shop's own that come with the sheet, where a word means one.
        prefix: stands before each project's number, so that it differs from those there are.
    """

    roles: tuple[Role, ...]
    words: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    days: DayOrder = DayOrder.FOUND
    repeated: bool = False
    filled_down: bool = False
    prefix: str = ""
    added: tuple[OwnWork, ...] = ()

    def __post_init__(self) -> None:
        if len(self.prefix) > LONGEST_PREFIX:
            raise BadInput("prefix", self.prefix, f"at most {LONGEST_PREFIX} characters")

    def place(self, role: Role) -> int | None:
        """The column of a role, from 0; None when no column has it."""
        return self.roles.index(role) if role in self.roles else None

    def troubles(self) -> tuple[str, ...]:
        """What is missing or doubled among the columns, in sentences."""
        missing = [f"No column says {what}." for role, what in _NEEDED.items() if role not in self.roles]
        if not any(role in self.roles for role in TIMES):
            missing.append("No column says how long it took, in minutes or in hours.")
        used: list[Role] = [role for role in self.roles if role is not Role.UNUSED]
        doubled = [f"Two columns hold the {role.value}; one of them must go." for role in Role if used.count(role) > 1]
        if all(role in used for role in TIMES):
            doubled.append("One column holds minutes and another hours; one of them must go.")
        return (*missing, *doubled)


def guess(sheet: Sheet) -> Choices:
    """What the headings say; each role goes to the first column that bears one of its names."""
    roles: list[Role] = []
    for head in sheet.heads:
        role = _role(head)
        taken = role in roles or (role in TIMES and any(other in roles for other in TIMES))
        roles.append(Role.UNUSED if taken else role)
    if Role.PROJECT not in roles and Role.TITLE in roles:
        roles[roles.index(Role.TITLE)] = Role.PROJECT
    return Choices(tuple(roles))


def _role(head: str) -> Role:
    """By the whole heading, then by what stands before a bracket: “time (h)” is hours, “length (ft)” is nothing known."""
    word = re.sub(r"[^a-z]", "", head.casefold())
    before = re.sub(r"[^a-z]", "", head.casefold().partition("(")[0])
    return _ROLE_OF.get(word) or _ROLE_OF.get(before) or Role.UNUSED


def as_values(choices: Choices) -> dict[str, object]:
    """The choices as plain values, to be kept beside the sheet."""
    return {
        "roles": [role.value for role in choices.roles],
        "words": dict(choices.words),
        "days": choices.days.value,
        "repeated": choices.repeated,
        "filled_down": choices.filled_down,
        "prefix": choices.prefix,
        "added": [own.as_values(one) for one in choices.added],
    }


def from_values(kept: Mapping[str, object]) -> Choices:
    """The choices of `as_values`."""
    return Choices(
        roles=tuple(Role(str(role)) for role in kept["roles"]),  # type: ignore[attr-defined]
        words=MappingProxyType(dict(kept["words"])),  # type: ignore[call-overload]
        days=DayOrder(str(kept["days"])),
        repeated=bool(kept["repeated"]),
        filled_down=bool(kept["filled_down"]),
        prefix=str(kept["prefix"]),
        added=tuple(own.from_values(one) for one in kept.get("added", ())),  # type: ignore[attr-defined]
    )


def word_key(written: str) -> str:
    """A word of the work column as choices name it: without regard to case, spaces and hyphens."""
    return loose(written)
