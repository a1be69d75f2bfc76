"""Words as they are looked for: typed, found in a text however it was written, and marked there.

A text and what is typed are folded alike: letters without their accents and case, fractions spelled out, runs of space
as one. Nothing typed has a meaning of its own but double quotes, which hold words together.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from itertools import pairwise

MOST_WORDS = 8
LONGEST_WORDS = 200  # characters typed
PASSAGE = 240  # characters of a passage
_BEFORE = 60  # of them before the first word found
_GONE = frozenset(("Mn", "Me", "Cf"))  # accents, marks that only shape a letter, marks of direction
_BY_HAND = {
    "ł": "l",
    "ø": "o",
    "đ": "d",
    "æ": "ae",
    "œ": "oe",
    "ı": "i",
    "×": "x",
    "−": "-",
    "–": "-",
    "—": "-",
    "’": "'",
}
_STROKE = "\u2044"  # of a fraction, ½ spelled out
_AT_ENDS = ".,;:!?*\"'()[]{}<>+-=~^|&\\ "
_QUOTED = re.compile(r'"([^"]*)"|(\S+)')
_QUOTES = dict.fromkeys("“”„«»", '"')


@dataclass(frozen=True, slots=True)
class Piece:
    """A run of a passage; `found`: it is what was looked for."""

    text: str
    found: bool = False


def fold(text: str) -> str:
    """The text as words are looked for in it."""
    if text.isascii():
        return " ".join(text.lower().split())
    return " ".join(text.translate(_FOLDED).split())


def read_words(typed: str) -> tuple[str, ...]:
    """The folded words that are to stand in a text; between double quotes they stand together. Never refuses."""
    parts = (
        phrase or word for phrase, word in _QUOTED.findall(typed[:LONGEST_WORDS].translate(str.maketrans(_QUOTES)))
    )
    folded = (fold(part).strip(_AT_ENDS) for part in parts)
    return tuple(dict.fromkeys(word for word in folded if word))[:MOST_WORDS]


def has_all(folded: str, words: tuple[str, ...]) -> bool:
    """Whether every word stands somewhere in a folded text."""
    return all(word in folded for word in words)


def begins_with_all(folded: str, words: tuple[str, ...]) -> bool:
    """Whether every word stands where a word of the text begins."""
    return all(
        folded.startswith(word) or f" {word}" in folded or any(_begins(folded, at) for at in _places(folded, word))
        for word in words
    )


def passage(text: str, words: tuple[str, ...], *, most: int = PASSAGE) -> tuple[Piece, ...]:
    """The part of a text around the first word found, with all that is found in it marked.

    Args:
        text: as it was written.
        words: as `read_words` gives them; none: the beginning of the text.
        most: how many characters of the text there may be.
    """
    text = " ".join(text.split())
    spans = _spans(text, words)
    first, last = _cut(text, spans, most)
    pieces = [Piece("… ")] if first else []
    inside = [(max(start, first), min(end, last)) for start, end in spans if end > first and start < last]
    edges = [first, *(edge for span in inside for edge in span), last]
    for number, (start, end) in enumerate(pairwise(edges)):
        if start < end:
            pieces.append(Piece(text[start:end], found=number % 2 == 1))
    return (*pieces, Piece(" …")) if last < len(text) else tuple(pieces)


def _fold_one(letter: str) -> str:
    """One character folded; a fraction stands apart from the number before it."""
    spelled = unicodedata.normalize("NFKD", letter)
    if _STROKE in spelled:
        spelled = f" {spelled.replace(_STROKE, '/')}"
    kept = "".join(one for one in spelled.casefold() if unicodedata.category(one) not in _GONE)
    return "".join(_BY_HAND.get(one, _QUOTES.get(one, one)) for one in kept)


class _Folded(dict[int, str]):
    """Character → folded, worked out when it is first met."""

    def __missing__(self, code: int) -> str:
        self[code] = folded = _fold_one(chr(code))
        return folded


_FOLDED = _Folded()


def _places(folded: str, word: str) -> list[int]:
    found, at = [], folded.find(word)
    while at >= 0:
        found.append(at)
        at = folded.find(word, at + len(word))
    return found


def _begins(folded: str, at: int) -> bool:
    return at == 0 or not folded[at - 1].isalnum()


def _traced(text: str) -> tuple[str, list[int]]:
    """The folded text, and where in the text each of its characters comes from."""
    letters: list[str] = []
    origins: list[int] = []
    for number, letter in enumerate(text):
        for one in _FOLDED[ord(letter)]:
            if not one.isspace():
                letters.append(one)
                origins.append(number)
            elif letters and letters[-1] != " ":
                letters.append(" ")
                origins.append(number)
    return "".join(letters), origins


def _spans(text: str, words: tuple[str, ...]) -> list[tuple[int, int]]:
    """Where in the text the words stand, in order and apart; inside a word only where none begins so."""
    folded, origins = _traced(text)
    found = []
    for word in words:
        places = _places(folded, word)
        at_beginnings = [at for at in places if _begins(folded, at)]
        found += [(origins[at], _end(text, origins[at + len(word) - 1])) for at in at_beginnings or places]
    joined: list[tuple[int, int]] = []
    for start, end in sorted(found):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


def _end(text: str, last: int) -> int:
    """After a letter with the accents that follow it."""
    end = last + 1
    while end < len(text) and not _FOLDED[ord(text[end])]:
        end += 1
    return end


def _cut(text: str, spans: list[tuple[int, int]], most: int) -> tuple[int, int]:
    """Where the passage begins and ends, between words as far as there are any."""
    if len(text) <= most:
        return 0, len(text)
    first = max(0, min(spans[0][0] - _BEFORE if spans else 0, len(text) - most))
    if first and (space := text.find(" ", first, first + _BEFORE)) >= 0:
        first = space + 1
    last = first + most
    if last >= len(text):
        return first, len(text)
    space = text.rfind(" ", first + most - _BEFORE, last)
    return first, space if space > 0 else last
