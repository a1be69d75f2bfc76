"""Every text of the journal by its words: notes, the notes of time entries, coats and projects, lessons.

The texts are folded once and stay at hand until one of them is written; a search reads through them. That is the same on
either database, and there is nothing to type that could go wrong.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

from journal.desk import photos
from journal.desk.note_words import begins_with_all, fold, has_all, passage, read_words
from journal.desk.remembered import Remembered
from journal.records.queries import notes as records
from journal.records.queries.shop import shop_zone

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.note_words import Piece
    from journal.desk.photos import Hung
    from journal.records.queries.notes import WrittenRow

PAGE = 20  # hits shown at once
_COATING = "apply_coat"  # the operation that every coat is of


class Kind(StrEnum):
    """Where a text was written."""

    NOTE = "note"
    ENTRY = "time"
    COAT = "coat"
    LESSON = "lesson"
    PROJECT = "project"


@dataclass(frozen=True, slots=True)
class Text:
    """A text and what it is about: `code` is an operation or a stage."""

    kind: Kind
    id: int
    project_id: int | None
    code: str | None
    by_stage: bool
    day: date
    text: str


@dataclass(frozen=True, slots=True)
class Hit:
    """A text that was found.

    Attributes:
        text: it.
        project: number and title; empty for the shop's own time.
        passage: of it, with the words marked.
        photo: the first on a note; None without one.
    """

    text: Text
    project: tuple[str, str]
    passage: tuple[Piece, ...]
    photo: Hung | None = None


@dataclass(frozen=True, slots=True)
class Found:
    """A page of what was found.

    Attributes:
        words: as they were understood; none: everything.
        hits: those where every word begins a word of the text first, then the newest day first.
        total: how many in all; of how many texts.
        page, pages: which page of how many, from 1.
    """

    words: tuple[str, ...]
    hits: tuple[Hit, ...]
    total: int
    texts: int
    page: int
    pages: int


def search(session: Session, typed: str, codes: frozenset[str] = frozenset(), page: int = 1) -> Found:
    """The texts with every word typed, about these operations and stages (all when empty). Never refuses.

    A constant number of statements.
    """
    words, texts = read_words(typed), _every_text(session)
    there = [
        one
        for one in texts
        if has_all(one.folded, words) and (not codes or one.row.operation in codes or one.row.stage in codes)
    ]
    ranked = sorted(there, key=lambda one: not begins_with_all(one.folded, words)) if words else there
    pages = max(-(-len(ranked) // PAGE), 1)
    here = min(max(page, 1), pages)
    shown = [_text(one) for one in ranked[PAGE * (here - 1) : PAGE * here]]
    titles = records.titles(session, {one.project_id for one in shown if one.project_id is not None})
    hung = photos.of_notes(session, [one.id for one in shown if one.kind is Kind.NOTE])

    def hit(text: Text) -> Hit:
        there = hung.get(text.id, ()) if text.kind is Kind.NOTE else ()
        titled = titles[text.project_id] if text.project_id is not None else ("", "")
        return Hit(text, titled, passage(text.text, words), there[0] if there else None)

    return Found(
        words=words,
        hits=tuple(map(hit, shown)),
        total=len(ranked),
        texts=len(texts),
        page=here,
        pages=pages,
    )


class _Written(NamedTuple):
    """A row with its folded text, as it is kept at hand."""

    kind: Kind
    row: WrittenRow
    folded: str


_kinds: Remembered[tuple[_Written, ...]] = Remembered(8)  # each by itself: the clock writes time entries all day long
_all: Remembered[tuple[_Written, ...]] = Remembered(2)

_READ: dict[Kind, Callable[[Session], tuple[WrittenRow, ...]]] = {
    Kind.NOTE: records.notes_written,
    Kind.ENTRY: records.entries_written,
    Kind.COAT: records.coats_written,
    Kind.LESSON: lambda session: records.lessons_written(session, shop_zone(session)),
    Kind.PROJECT: lambda session: records.projects_written(session, shop_zone(session)),
}


def _every_text(session: Session) -> tuple[_Written, ...]:
    """The newest day first."""

    def gather() -> tuple[_Written, ...]:
        found = [one for kind in Kind for one in _kinds.of_journal(session, kind, lambda: _folded(session, kind))]  # noqa: B023 - asked at once
        return tuple(sorted(found, key=lambda one: (one.row.day, one.row.id), reverse=True))

    return _all.of_journal(session, "texts", gather)


def _folded(session: Session, kind: Kind) -> tuple[_Written, ...]:
    rows = _READ[kind](session)
    if kind is Kind.COAT:
        rows = tuple(row._replace(operation=_COATING) for row in rows)
    return tuple(_Written(kind, row, fold(row.text)) for row in rows)


def _text(one: _Written) -> Text:
    row = one.row
    by_stage = row.operation is None and row.stage is not None
    return Text(one.kind, row.id, row.project_id, row.operation or row.stage, by_stage, row.day, row.text)
