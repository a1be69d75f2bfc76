"""What is bored, cut or fitted in a part, read from a cell: “12 holes; screws 8; groove 8 ft”."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.parts import Feature
from journal.errors import BadInput, MissingReference

if TYPE_CHECKING:
    from collections.abc import Sequence

LONGEST_TEXT = 2_000
# No known feature has a longer name, and nobody writes more words about one: what is longer is not looked up.
_MOST_WORDS_IN_A_NAME = 4
_MOST_WORDS = 12


def parse_features(text: str, *, system: units.System = units.System.INCH, bare_lengths: bool = False) -> list[Feature]:
    """Features from “12 holes; screws 8; groove 8 ft”; separated by semicolons, commas or new lines.

    Args:
        text: the cell.
        system: what a bare number means where a length is meant.
        bare_lengths: whether bare numbers are lengths, as under a heading that says its unit; else they are asked for.

    Raises:
        BadInput: when a number is missing or wrong.
        MissingReference: when a word is not a known feature.
    """
    if len(text) > LONGEST_TEXT:
        raise BadInput("features", text, f"at most {LONGEST_TEXT:,} characters")
    totals: dict[str, Feature] = {}
    # A comma between two digits belongs to a number.
    for item in re.split(r"[;\n|]|,(?!\d)|(?<!\d),", text):
        if not item.strip():
            continue
        feature = _one_feature(" ".join(item.split()), system, bare_lengths=bare_lengths)
        have = totals.get(feature.word)
        totals[feature.word] = (
            Feature(feature.word, feature.count + have.count, feature.length_nm + have.length_nm) if have else feature
        )
    return list(totals.values())


def features_text(features: Sequence[Feature], system: units.System = units.System.INCH) -> str:
    """“12 holes; groove 8 ft”: what `parse_features` reads back as these very features."""
    return "; ".join(_feature_text(feature, system) for feature in features)


def _feature_text(feature: Feature, system: units.System) -> str:
    if feature.length_nm:
        return f"{feature.word} {_length_text(feature.length_nm, system)}"
    known = reference.features()[feature.word]
    return f"{feature.count} {known.word if feature.count == 1 else known.plural}"


def _length_text(length_nm: int, system: units.System) -> str:
    """In feet or metres where that says it exactly, else in millimetres."""
    text = units.format_length(length_nm, system, feet=True)
    exact = units.parse_length(text, system=system) == length_nm
    return text if exact else f"{(Decimal(length_nm) / units.NM_PER_MM).normalize():f} mm"


def _one_feature(item: str, system: units.System, *, bare_lengths: bool) -> Feature:
    known, name = _named_in(item)
    rest = re.sub(re.escape(name), " ", item, count=1, flags=re.IGNORECASE)
    rest = re.sub(r"[=:×]|\bx\b|\bof\b", " ", rest).strip()
    rest = re.sub(r"(?<=\d)x\b|\bx(?=\d)", " ", rest).strip()
    if known.counted_by == "length":
        return Feature(known.word, length_nm=_length(known.word, rest, system, bare=bare_lengths))
    # “12 × 3/4 in holes” is twelve; “1 strong vise” is one: a size or another word does not count.
    rest = re.sub(r"(?!\b(?:in|mm|inch|inches)\b)\b(?:an?|the|[a-z'’-]{3,})\b", " ", rest.lower()).strip()
    rest = re.sub(r"^(\d+)\s+\S*\d\S*(\s*(in|mm|inch|inches))?$", r"\1", rest)
    if not rest:
        return Feature(known.word, count=1)
    if not re.fullmatch(r"[0-9]{1,5}(\.0+)?", rest) or not float(rest):
        raise BadInput(known.word, rest, "a whole number of 1 or more")
    return Feature(known.word, count=int(float(rest)))


def _length(word: str, text: str, system: units.System, *, bare: bool) -> int:
    """A run of so much; a bare number could be feet as well as inches, so it is asked for."""
    if not bare and re.fullmatch(r"[0-9]+", text):
        raise BadInput(word, text, f"a length with its unit, such as {text} ft or {text} in")
    return units.parse_length(text, system=system, field=word)


def _named_in(item: str) -> tuple[reference.Feature, str]:
    """The feature an item names, and how it is written there."""
    words = re.findall(r"[A-Za-zÀ-ÿ][A-Za-zÀ-ÿ'’-]*", item)
    for start in range(min(len(words), _MOST_WORDS)):
        for stop in range(min(len(words), start + _MOST_WORDS_IN_A_NAME), start, -1):
            name = " ".join(words[start:stop])
            try:
                return reference.find_feature(name), name
            except MissingReference:
                continue
    raise MissingReference("feature", re.sub(r"[\d=:×.]+", " ", item).strip() or item, sorted(reference.features()))
