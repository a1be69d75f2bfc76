"""How a spreadsheet is to be read, as boxes on a page and back.

A word of the work column keeps what the book knows it as unless something else was chosen, so that sending a page back
unchanged changes nothing.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.pace.cells import DayOrder, read_number
from journal.pace.columns import LEAVE_OUT, Choices, Role
from journal.pace.own import Typed

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from journal.pace.history_words import WordUse

_LONGEST_TYPED = 200
MOST_WORDS = 150  # shown at once; more distinct words than that are hardly operations

ROLE_WORDS = {
    Role.UNUSED: "not used",
    Role.PROJECT: "project, by number or name",
    Role.TITLE: "project’s title",
    Role.DATE: "day",
    Role.WORK: "operation or stage",
    Role.QUANTITY: "how much was done",
    Role.UNIT: "unit of that",
    Role.SETUPS: "set-ups",
    Role.MINUTES: "time, minutes",
    Role.HOURS: "time, hours",
    Role.PEOPLE: "people at once",
    Role.REWORK: "done again (yes or no)",
    Role.NOTE: "note",
}
ORDER_WORDS = {
    DayOrder.FOUND: "as the column itself shows",
    DayOrder.DAY_FIRST: "day first, 31/3/2020",
    DayOrder.MONTH_FIRST: "month first, 3/31/2020",
}


def read_choices(sent: Mapping[str, str], kept: Choices, words: Sequence[WordUse]) -> Choices:
    """The choices as sent; `words` are those the page showed boxes for, so that the others stay as they were.

    Raises:
        BadInput: a choice that was not offered.
    """
    try:
        roles = tuple(Role(sent.get(f"role-{place}", role.value)) for place, role in enumerate(kept.roles))
        days = DayOrder(sent.get("days", kept.days.value))
    except ValueError as odd:
        raise BadInput("choice", str(odd), "one that the page offers") from odd
    return Choices(
        roles=roles,
        words=_words(sent, kept, words),
        days=days,
        repeated="repeated" in sent,
        filled_down="filled_down" in sent,
        prefix=sent.get("prefix", "").strip(),
        added=kept.added,
    )


ADD = ("name", "stage", "driver", "unit", "setup", "pace")


def read_added(sent: Mapping[str, str], place: int) -> tuple[dict[str, str], str]:
    """What was typed of an operation to add, by box, and the key of the word it is for."""
    typed = {box: sent.get(f"add-{place}-{box}", "")[:_LONGEST_TYPED] for box in ADD}
    return typed, sent.get(f"key-{place}", "")


def typed_work(typed: Mapping[str, str]) -> Typed:
    """An operation as typed.

    Raises:
        BadInput: minutes that are no number.
    """
    return Typed(
        name=typed["name"],
        stage=typed["stage"],
        driver=typed["driver"],
        unit=typed["unit"],
        setup_minutes=_minutes("setup", typed["setup"] or "0"),
        pace_minutes=_minutes("pace", typed["pace"]),
    )


def _minutes(box: str, text: str) -> float:
    minutes = read_number(text.strip(), decimal_comma="," in text)
    if minutes is None:
        raise BadInput(box, text, "minutes, a number such as 4.5")
    return minutes


def _words(sent: Mapping[str, str], kept: Choices, words: Sequence[WordUse]) -> Mapping[str, str]:
    found = dict(kept.words)
    for place, use in enumerate(words[:MOST_WORDS]):
        # The key travels along: the words of another column may have been shown meanwhile, in another tab.
        if sent.get(f"key-{place}") != use.key:
            continue
        chosen = sent.get(f"word-{place}", use.code)
        found.pop(use.key, None)
        if chosen and chosen != use.known:
            found[use.key] = chosen
    return MappingProxyType(found)


__all__ = ["LEAVE_OUT", "MOST_WORDS", "ORDER_WORDS", "ROLE_WORDS", "read_added", "read_choices", "typed_work"]
