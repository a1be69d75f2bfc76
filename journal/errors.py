"""Every error the rooms can raise.

JournalError
├── BadInput          something typed or read cannot be used; says what was read and what was expected
│   └── BadRows       several bad places in one table, each with its line and column
├── NoSolution        the input is well formed but nothing satisfies it; says what would
├── MissingReference  a name is not in a table; lists what is
├── Conflict          somebody else changed it first
└── Unavailable       the disk or the database does not do as asked; nothing was changed
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


class JournalError(Exception):
    """Base of all errors a user can be shown."""


class BadInput(JournalError):
    """A value that cannot be used.

    Args:
        field: the name of the thing, in the user's words.
        received: what was read, as typed.
        expected: what would be accepted, and the fix.
    """

    def __init__(self, field: str, received: object, expected: str) -> None:
        self.field = field
        self.received = received
        self.expected = expected
        shown = "nothing" if received in ("", None) else f"“{_clip(received)}”"
        super().__init__(f"{field}: read {shown}, expected {expected}")


@dataclass(frozen=True, slots=True)
class Problem:
    """One bad place in a table: 1-based line, the column's heading, what is wrong and how to mend it."""

    line: int
    column: str
    message: str

    def __str__(self) -> str:
        where = f"line {self.line}" + (f", {self.column}" if self.column else "")
        return f"{where}: {self.message}"


MOST_SHOWN = 50


class BadRows(BadInput):
    """Several bad places in one table; nothing of the table was taken."""

    def __init__(self, source: str, problems: Sequence[Problem]) -> None:
        self.source = source
        self.problems = tuple(problems)
        count = len(self.problems)
        listed = "\n".join(f"  {problem}" for problem in self.problems[:MOST_SHOWN])
        if count > MOST_SHOWN:
            listed += f"\n  … and {count - MOST_SHOWN} more"
        JournalError.__init__(
            self, f"{source}: {count} problem{'s' if count != 1 else ''}, nothing was taken\n{listed}"
        )
        self.field = source
        self.received = None
        self.expected = ""


class NoSolution(JournalError):
    """A well-formed request that nothing satisfies.

    Args:
        what: what was asked.
        why: the reason.
        would_do: the nearest change that would make it possible.
    """

    def __init__(self, what: str, why: str, would_do: str = "") -> None:
        self.what = what
        self.why = why
        self.would_do = would_do
        super().__init__(f"{what}: {why}" + (f"; {would_do}" if would_do else ""))


MOST_NAMED = 20


class MissingReference(JournalError):
    """A name that is not in a table."""

    def __init__(self, kind: str, name: str, known: Sequence[str]) -> None:
        self.kind = kind
        self.name = name
        self.known = tuple(known)
        shown = ", ".join(self.known[:MOST_NAMED]) + (" …" if len(self.known) > MOST_NAMED else "")
        super().__init__(f"no {kind} called “{_clip(name)}”" + (f"; known: {shown}" if shown else ""))


class Conflict(JournalError):
    """Somebody else changed the same thing first."""

    def __init__(self, what: str, advice: str) -> None:
        self.what = what
        super().__init__(f"{what} was changed in the meantime; {advice}")


class Unavailable(JournalError):
    """The disk or the database does not do as asked; says what is the matter and what to do. Nothing was changed."""


def _clip(value: object, width: int = 60) -> str:
    text = str(value)
    return text if len(text) <= width else text[: width - 1] + "…"
