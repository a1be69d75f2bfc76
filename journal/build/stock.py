"""What a yard sells: dressed sizes by the length, rough thicknesses by the board foot, sheets by the piece.

A stock book is this shop's list of what it buys and at what price. A part names its stock loosely (“2x8”, “8/4 maple”,
“birch ply 18 mm”); `StockBook.find` reads that or refuses with what is there.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import TYPE_CHECKING, TypeAlias

from journal import reference
from journal.errors import BadInput, MissingReference

if TYPE_CHECKING:
    from datetime import date


@dataclass(frozen=True, slots=True)
class Offer:
    """A price in force: one length, sheet or board foot for so many cents, seen on a day (None: a starting assumption)."""

    price_cents: int
    on: date | None = None
    length_nm: int = 0
    available: int | None = None

    def __post_init__(self) -> None:
        if self.price_cents < 0:
            raise BadInput("price", self.price_cents, "a price of zero or more")


@dataclass(frozen=True, slots=True)
class Dimensional:
    """Softwood sold by the piece in stated lengths, by a nominal size and a dressed one."""

    code: str
    species: str
    nominal: str
    thickness_nm: int
    width_nm: int
    nominal_thickness_nm: int
    nominal_width_nm: int
    offers: tuple[Offer, ...]


@dataclass(frozen=True, slots=True)
class Rough:
    """Hardwood sold by the board foot in random widths and lengths."""

    code: str
    species: str
    quarter: str
    thickness_nm: int
    offer: Offer
    usual_width_nm: int
    usual_length_nm: int


@dataclass(frozen=True, slots=True)
class Sheet:
    """A panel sold by the piece; `grain` says that parts may not be turned."""

    code: str
    kind: str
    thickness_nm: int
    width_nm: int
    length_nm: int
    offer: Offer
    density_kg_m3: float
    grain: bool = False
    nominal_thickness_nm: int = 0


Stock: TypeAlias = Dimensional | Rough | Sheet


@dataclass(frozen=True, slots=True)
class StockBook:
    """What this shop buys, in its own order of preference, and the wood meant when a part names none."""

    stocks: tuple[Stock, ...]
    usual_species: str = ""

    def find(self, text: str) -> tuple[Stock, ...]:
        """The stocks that a part's wording can mean, best first.

        An exact code gives that one; otherwise every word must be found in a stock's code, wood or kind. A blank text
        means any lumber of the usual wood.

        Raises:
            MissingReference: when nothing matches; lists what the shop stocks.
        """
        wanted = _words(text)
        if not wanted:
            lumber = [s for s in self.stocks if isinstance(s, Dimensional | Rough) and s.species == self.usual_species]
            if lumber:
                return tuple(lumber)
            raise BadInput(
                "stock",
                text,
                f"a size or wood the shop stocks: {', '.join(self.codes[:12]) or 'none yet, add one under Prices'}",
            )
        exact = [s for s in self.stocks if _words(s.code) == wanted]
        if exact:
            return tuple(exact[:1])
        found = [s for s in self.stocks if all(any(_same(w, have) for have in _names(s)) for w in wanted)]
        if not found:
            raise MissingReference("stock", text, self._nearest(text))
        usual = [s for s in found if not isinstance(s, Sheet) and s.species == self.usual_species]
        return tuple(usual or found)

    def _nearest(self, text: str) -> tuple[str, ...]:
        """Every code, the most alike first."""
        wanted = " ".join(_words(text))
        return tuple(
            sorted(self.codes, key=lambda code: -SequenceMatcher(None, wanted, " ".join(_words(code))).ratio())
        )

    @property
    def codes(self) -> tuple[str, ...]:
        """Every stock code, in order."""
        return tuple(stock.code for stock in self.stocks)


def _words(text: str) -> tuple[str, ...]:
    """A wording in comparable pieces: “2 × 8 Doug-fir” → 2x8, doug, fir; “18mm ply” → 18, mm, ply."""
    lowered = text.lower()[:200].replace("×", "x").replace("″", '"')
    joined = re.sub(r"(?<=\d)\s*x\s*(?=\d)", "x", lowered)
    apart = re.sub(r"(?<=\d)(?=mm\b|in\b|\")", " ", joined)
    words = re.sub(r"[-,()\s]+", " ", apart).split()
    return tuple(word for word in words if word not in _UNSAID)


# Inches are understood; “lumber” and “board” say nothing that the size does not.
_UNSAID = frozenset(('"', "in", "inch", "inches", "lumber", "board", "boards", "stock", "rough", "dressed"))


def _names(stock: Stock) -> tuple[str, ...]:
    if isinstance(stock, Sheet):
        return _words(f"{stock.code} {stock.kind}")
    size = stock.nominal if isinstance(stock, Dimensional) else stock.quarter
    return _words(f"{stock.code} {stock.species} {size} {' '.join(_aliases(stock.species))}")


def _aliases(species: str) -> tuple[str, ...]:
    try:
        return reference.species(species).aliases
    except MissingReference:
        return ()


def _same(wanted: str, have: str) -> bool:
    # “ply” for “plywood”, “oak” for “oaks”: the start of a word will do when it is a word and not a size.
    return have == wanted or (wanted.isalpha() and len(wanted) >= 3 and have.startswith(wanted))
