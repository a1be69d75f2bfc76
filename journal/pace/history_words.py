"""The words of a spreadsheet's work column, and what they mean by the book or by the user's decision."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.pace.columns import LEAVE_OUT, Role, word_key
from journal.pace.evidence import Words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from journal.pace.columns import Choices
    from journal.pace.model import Book
    from journal.pace.sheet import Sheet


@dataclass(frozen=True, slots=True)
class WordUse:
    """A word of the work column.

    Attributes:
        key: as choices name it.
        written: as it stands in the sheet.
        rows: how many bear it.
        code: of the operation or stage it means; LEAVE_OUT; '' while nobody has said.
        by_stage: it means a stage.
        known: what the book knows it as, '' when it does not; `code` differs where the user said so.
        near: codes it may mean.
    """

    key: str
    written: str
    rows: int
    code: str
    by_stage: bool
    known: str
    near: tuple[str, ...]


def word_uses(sheet: Sheet, choices: Choices, book: Book, stage_names: Mapping[str, str]) -> dict[str, WordUse]:
    """Every word of the work column by its key, the most frequent first."""
    place = choices.place(Role.WORK)
    written = [cell for cell in sheet.column(place or 0) if cell]
    spelled: dict[str, str] = {}
    for word in dict.fromkeys(written):
        spelled.setdefault(word_key(word), word)
    rows = Counter(dict.fromkeys(spelled, 0))
    for word, count in Counter(written).items():
        rows[word_key(word)] += count
    words = Words(book)
    words.stages.update({word_key(name): code for code, name in stage_names.items() if code in words.stages.values()})
    return {key: _word_use(key, spelled[key], count, choices, words) for key, count in rows.most_common()}


def _word_use(key: str, written: str, rows: int, choices: Choices, words: Words) -> WordUse:
    kind, found = words.find(written)
    near = tuple(found.split(", ")) if not kind and found else ()
    known = found if kind else ""
    decided = choices.words.get(key, "")
    stages = set(words.stages.values())
    if decided == LEAVE_OUT or decided in words.book or decided in stages:
        return WordUse(key, written, rows, decided, decided in stages, known, near)
    return WordUse(key, written, rows, known, kind == "stage", known, near)
