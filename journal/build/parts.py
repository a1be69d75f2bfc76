"""What is a part: one kind of finished piece, the faces that get finish, what is bored, cut or fitted in it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from journal import units
from journal.errors import BadInput

# A finished piece outside these is a slip of the keyboard, not a bench: thinner than a veneer, longer than any board sold.
SMALLEST_NM = units.inches("1/16")
LONGEST_NM = units.feet(40)
MOST_OF_A_KIND = 10_000
MOST_STRIPS = 400


class Along(StrEnum):
    """Which dimension of the part the strips add up to."""

    NONE = "none"
    WIDTH = "width"  # strips side by side: a bench top of boards on edge
    THICKNESS = "thickness"  # strips face to face: a leg


@dataclass(frozen=True, slots=True)
class Faces:
    """How many of each pair of sides get finish: wide faces (width × length), edges (thickness × length), ends."""

    wide: int = 2
    edges: int = 2
    ends: int = 2

    def __post_init__(self) -> None:
        if any(count not in (0, 1, 2) for count in (self.wide, self.edges, self.ends)):
            raise BadInput("faces", f"{self.wide}/{self.edges}/{self.ends}", "0, 1 or 2 of each pair of sides")

    def __str__(self) -> str:
        if (self.wide, self.edges, self.ends) == (2, 2, 2):
            return "all"
        if self == Faces(0, 0, 0):
            return "none"
        words = []
        if self.wide:
            words.append("top" if self.wide == 1 else "faces")
        if self.edges:
            words.append("edge" if self.edges == 1 else "edges")
        if self.ends:
            words.append("end" if self.ends == 1 else "ends")
        return ", ".join(words)


_FACE_WORDS = {
    "top": (1, 0, 0),
    "face": (1, 0, 0),
    "faces": (2, 0, 0),
    "edge": (0, 1, 0),
    "edges": (0, 2, 0),
    "end": (0, 0, 1),
    "ends": (0, 0, 2),
}
_FACE_COUNTS = {0: (0, 0, 0), 1: (1, 0, 0), 2: (2, 0, 0), 3: (1, 2, 0), 4: (2, 2, 0), 5: (1, 2, 2), 6: (2, 2, 2)}


def parse_faces(text: str) -> Faces:
    """Faces from “all”, “none”, “top, edges, ends”, or how many sides (0 to 6); blank means all.

    Raises:
        BadInput: for any other word.
    """
    cleaned = text.strip().lower()
    if cleaned in ("", "all", "every", "yes"):
        return Faces()
    if cleaned in ("none", "no", "-"):
        return Faces(0, 0, 0)
    expected = "all, none, or a list of top, faces, edges, ends, or how many sides, 0 to 6"
    if cleaned.isascii() and cleaned.isdigit():
        if int(cleaned[:3]) not in _FACE_COUNTS:
            raise BadInput("faces", text, expected)
        return Faces(*_FACE_COUNTS[int(cleaned[:3])])
    totals = [0, 0, 0]
    for word in cleaned.replace("+", ",").replace(" and ", ",").replace("&", ",").replace(" ", ",").split(","):
        if not word:
            continue
        if word not in _FACE_WORDS:
            raise BadInput("faces", text, expected)
        totals = [min(2, total + more) for total, more in zip(totals, _FACE_WORDS[word], strict=True)]
    return Faces(*totals)


@dataclass(frozen=True, slots=True)
class Feature:
    """Something bored, cut or fitted in each piece of a part: so many of it, or so much length."""

    word: str
    count: int = 0
    length_nm: int = 0

    def __post_init__(self) -> None:
        if self.count < 0 or self.length_nm < 0 or (self.count == 0) == (self.length_nm == 0):
            raise BadInput(self.word, self.count or self.length_nm, "a count of 1 or more, or a length")


@dataclass(frozen=True, slots=True)
class Part:
    """One kind of finished piece.

    Attributes:
        label: what the maker calls it; unique in a part list.
        quantity: pieces in one bench.
        thickness_nm, width_nm, length_nm: finished size; the grain runs along the length.
        stock: what it is made from, as typed (a stock code, a size, a wood); blank: the shop's usual wood.
        strips: how many strips are laminated into it; 1 solid, 0 to be worked out.
        along: which dimension the strips add up to.
        faces: which sides get finish.
        features: what is bored, cut or fitted in each piece.
        uid: identity that outlives renaming; blank until stored.
        note: free text.
    """

    label: str
    quantity: int
    thickness_nm: int
    width_nm: int
    length_nm: int
    stock: str = ""
    strips: int = 1
    along: Along = Along.NONE
    faces: Faces = Faces()
    features: tuple[Feature, ...] = ()
    uid: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        if not self.label.strip():
            raise BadInput("label", self.label, "a name for the part")
        if not 1 <= self.quantity <= MOST_OF_A_KIND:
            raise BadInput("qty", self.quantity, f"a whole number from 1 to {MOST_OF_A_KIND:,}")
        for name, size_nm in (
            ("thickness", self.thickness_nm),
            ("width", self.width_nm),
            ("length", self.length_nm),
        ):
            check_size(name, size_nm)
        if not 0 <= self.strips <= MOST_STRIPS:
            raise BadInput("strips", self.strips, f"a whole number to {MOST_STRIPS}, or 0 to have it worked out")
        if (self.strips == 1) != (self.along is Along.NONE):
            raise BadInput(
                "strips",
                f"{self.strips} along {self.along}",
                "1 strip for a solid part, or “along width” or “along thickness”",
            )

    @property
    def laminated(self) -> bool:
        """Whether the part is glued up of strips."""
        return self.along is not Along.NONE

    @property
    def volume_nm3(self) -> int:
        """Finished volume of one piece, features not taken off."""
        return self.thickness_nm * self.width_nm * self.length_nm

    def count(self, word: str) -> int:
        """How many of a counted feature one piece carries."""
        return sum(feature.count for feature in self.features if feature.word == word)


def check_size(name: str, size_nm: int) -> None:
    """Refuse a finished size that no bench has.

    Raises:
        BadInput: under 1/16 in or over 40 ft.
    """
    if not SMALLEST_NM <= size_nm <= LONGEST_NM:
        shown = (
            units.format_length(size_nm, denominator=64)
            if size_nm >= units.inches("1/64")
            else f"{size_nm / units.NM_PER_INCH:g} in"
        )
        raise BadInput(name, shown, "a finished size from 1/16 in (1.6 mm) to 40 ft (12.2 m)")
