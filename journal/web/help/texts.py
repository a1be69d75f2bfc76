"""The texts of the help, by key: one file, read once."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from journal.errors import MissingReference

_FOLDER = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Help:
    """What stands behind a “?”: the name of the thing, and two sentences about it."""

    key: str
    name: str
    text: str


@dataclass(frozen=True, slots=True)
class Word:
    """A word of the trade, and what it means here."""

    word: str
    meaning: str


@cache
def helps() -> dict[str, Help]:
    """Every text of help.toml, by its key."""
    read = tomllib.loads((_FOLDER / "help.toml").read_text(encoding="utf-8"))
    return {key: Help(key, entry["name"], entry["text"]) for key, entry in read.items()}


def find(key: str) -> Help:
    """The help of one key.

    Raises:
        MissingReference: there is none.
    """
    if key not in helps():
        raise MissingReference("help", key, tuple(helps()))
    return helps()[key]


@cache
def words() -> tuple[Word, ...]:
    """Every word of words.toml, in the order of the alphabet."""
    read = tomllib.loads((_FOLDER / "words.toml").read_text(encoding="utf-8"))
    return tuple(Word(word, meaning) for word, meaning in sorted(read.items(), key=lambda pair: pair[0].casefold()))
