"""Operations of the shop's own: work the starting book does not know, counted and learned from all the same."""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import asdict, dataclass
from hashlib import sha256
from types import MappingProxyType
from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.pace.cells import read_unit
from journal.pace.evidence import Words, loose
from journal.pace.values import BookPace

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from journal.pace.values import Book

LONGEST = 60
LONGEST_UNIT = 20
MOST_MINUTES = 3600.0  # sixty hours for one of anything is a slip of the keyboard
_PREFIX = "own_"  # so that no later book can take the same code
_LONGEST_SLUG = 48
_UNIT = re.compile(r"[^\W\d_]+([ -][^\W\d_]+)*")


@dataclass(frozen=True, slots=True)
class OwnWork:
    """An operation of the shop's own.

    Attributes:
        code: in logs, made from its name.
        stage: code of its stage.
        name: as the shop says it.
        driver: what is counted, in words.
        unit: as it stands behind a number, in the book's manner: ft, ft2, h, or a word.
        setup_minutes: ≥ 0, for a set-up.
        pace_minutes: > 0, for one of the unit; what it starts from until the logs say otherwise.
    """

    code: str
    stage: str
    name: str
    driver: str
    unit: str
    setup_minutes: float
    pace_minutes: float

    def __post_init__(self) -> None:
        expected = {
            "code": "a short code",
            "stage": "one of the stages",
            "name": "what the shop calls it",
            "driver": "what is counted, such as holes drilled",
            "unit": "one of what is counted, such as hole",
        }
        for field, what in expected.items():
            text = getattr(self, field)
            if not text.strip():
                raise BadInput(field, text, what)
            if len(text) > LONGEST:
                raise BadInput(field, text, f"at most {LONGEST} characters")
        if not (math.isfinite(self.setup_minutes) and 0 <= self.setup_minutes <= MOST_MINUTES):
            raise BadInput("setup", self.setup_minutes, f"minutes from 0 to {MOST_MINUTES:g}")
        if not (math.isfinite(self.pace_minutes) and 0 < self.pace_minutes <= MOST_MINUTES):
            raise BadInput("pace", self.pace_minutes, f"minutes for one, above 0 and up to {MOST_MINUTES:g}")


@dataclass(frozen=True, slots=True)
class Typed:
    """What somebody typed of an operation: see `OwnWork`; the unit as people write it, minutes for one of that."""

    name: str
    stage: str
    driver: str
    unit: str
    setup_minutes: float
    pace_minutes: float

    def work(self, book: Book, stage_names: Mapping[str, str]) -> OwnWork:
        """The operation, once it differs from all those known.

        Args:
            book: the operations known, the shop's own among them.
            stage_names: stage → its name.

        Raises:
            BadInput: a name, stage, unit or time that cannot be taken.
        """
        name = " ".join(self.name.split())
        if self.stage not in stage_names:
            raise BadInput("stage", self.stage, f"one of {', '.join(stage_names.values())}")
        _refuse_known(name, book, stage_names)
        unit, factor = _unit(self.unit)
        pace_minutes = self.pace_minutes / factor
        driver = " ".join(self.driver.split())
        return OwnWork(_code(name), self.stage, name, driver, unit, self.setup_minutes, pace_minutes)


def with_own(book: Book, own: Iterable[OwnWork]) -> Book:
    """The book and the shop's own operations after it; one that a later book has of itself stays the book's."""
    added = {
        one.code: BookPace(one.code, one.stage, one.setup_minutes, one.pace_minutes, one.name, one.unit, own=True)
        for one in own
        if one.code not in book
    }
    return MappingProxyType({**book, **added})


def as_values(own: OwnWork) -> dict[str, object]:
    """As plain values, to be kept beside a sheet."""
    return asdict(own)


def from_values(kept: Mapping[str, object]) -> OwnWork:
    """The operation of `as_values`."""
    code, stage, name, driver, unit = (str(kept[field]) for field in ("code", "stage", "name", "driver", "unit"))
    return OwnWork(code, stage, name, driver, unit, float(str(kept["setup_minutes"])), float(str(kept["pace_minutes"])))


def _refuse_known(name: str, book: Book, stage_names: Mapping[str, str]) -> None:
    if not name:
        raise BadInput("name", name, "what the shop calls it")
    words = Words(book)
    kind, found = words.find(name)
    if kind == "" and _code(name) in book:
        kind, found = "operation", _code(name)
    if kind == "operation":
        entry = book[found]
        raise BadInput("name", name, f"another name: {entry.name or found} is there already, counted in {entry.unit}")
    if kind == "stage" or loose(name) in {loose(one) for one in stage_names.values()}:
        raise BadInput("name", name, "another name: that is a stage")


def _unit(text: str) -> tuple[str, float]:
    """A unit in the book's manner, and what one of the typed is in it: m is ft × 3.28."""
    for base in ("ft", "ft2", "h"):
        known = read_unit(text, base)
        if known is not None and text.strip():
            return base, known.factor
    word = " ".join(text.casefold().split())
    if len(word) > LONGEST_UNIT or not _UNIT.fullmatch(word):
        raise BadInput("unit", text, f"one of what is counted, a word of at most {LONGEST_UNIT} letters, such as hole")
    return (word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 2 else word), 1.0


def _code(name: str) -> str:
    plain = unicodedata.normalize("NFKD", name.casefold()).encode("ascii", "ignore").decode()
    slug = re.sub(r"[^a-z0-9]+", "_", plain).strip("_")[:_LONGEST_SLUG]
    return _PREFIX + (slug or sha256(name.casefold().encode()).hexdigest()[:12])
