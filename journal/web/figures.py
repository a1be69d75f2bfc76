"""A figure as a page sets it: runs of number, fraction and unit; and the text of any line of a working."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from journal import units
from journal.web.state import in_marks
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Callable

    from journal.web.state import Display
    from journal.working import Line

Kind = Literal["number", "fraction", "unit"]

_LETTER = r"[^\W\d_¼-¾⅐-⅞]"
# A fraction that has no glyph of its own; then a word or sign of a unit; anything else belongs to the number, and so
# does the month of a day.
_RUN = re.compile(
    r"(?P<fraction>(?<![\d.,])\d+/\d+)|"
    rf"(?P<unit>(?<!{_LETTER})(?!(?:{'|'.join(units.MONTHS)})\b){_LETTER}+[²³]?(?: (?:ft|oz)[²³]?)?(?:/[^\W\d_]+[²³]?)?|[°%″′])"
)


@dataclass(frozen=True, slots=True)
class Run:
    """Letters of one kind, with the space that stood before them."""

    kind: Kind
    text: str
    spaced: bool


def runs(text: str) -> tuple[Run, ...]:
    """Split a formatted figure, in the shop's marks: '1 7/16 in' -> number 1, fraction 7/16, unit in."""
    text = in_marks(text)
    pieces: list[tuple[Kind, str]] = []
    at = 0
    for match in _RUN.finditer(text):
        pieces.append(("number", text[at : match.start()]))
        pieces.append(("fraction" if match["fraction"] else "unit", match[0]))
        at = match.end()
    pieces.append(("number", text[at:]))
    return _spaced(pieces)


def _spaced(pieces: list[tuple[Kind, str]]) -> tuple[Run, ...]:
    """Move the spaces out of the pieces, so that the page can set a fraction close to its whole."""
    done: list[Run] = []
    pending = False
    for kind, text in pieces:
        word = text.strip()
        if word:
            done.append(Run(kind, word, spaced=bool(done) and (pending or text[:1].isspace())))
            pending = False
        pending = pending or text[-1:].isspace()
    return tuple(done)


def number(value: float) -> str:
    """A plain number with three figures worth reading, in the shop's marks: 1,234  12.5  0.37."""
    return in_marks(_plain(value))


def _plain(value: float) -> str:
    if float(value).is_integer():
        return f"{value:,.0f}".replace("-", "−")
    size = abs(value)
    digits = 0 if size >= 100 else 1 if size >= 10 else 2
    text = f"{value:,.{digits}f}"
    return (text.rstrip("0").rstrip(".") if digits else text).replace("-", "−")


def line_text(line: Line, display: Display) -> str:
    """The figure of a line, in the shop's units."""
    return value_text(line.value, line.unit, display)


def value_text(value: float, unit: str, display: Display) -> str:
    """A value and its unit as text; a unit this module does not know is shown as it is named."""
    known = _KNOWN.get(unit)
    return in_marks(known(value, display) if known else f"{_plain(value)} {unit}".strip())


def spread_text(line: Line, display: Display) -> str:
    """'eight times in ten 41 h to 58 h'; '' for a certain figure."""
    if line.spread is None:
        return ""
    low, high = line.spread.p10, line.spread.p90
    ends = (
        value_text(low, line.unit, display) if line.unit in _KNOWN else number(low),
        value_text(high, line.unit, display),
    )
    return f"eight times in ten {ends[0]} to {ends[1]}"


_KNOWN: dict[str, Callable[[float, Display], str]] = {
    "blanks": lambda value, _: counted(value, "blank"),
    "cents": lambda value, display: units.format_money(units.round_half_up(value), display.currency),
    "min": lambda value, _: units.format_minutes(value),
    "nm": lambda value, display: units.format_length(units.round_half_up(value), display.system),
    "nm2": lambda value, display: units.format_area(units.round_half_up(value), display.system),
    "nm3": lambda value, _: units.format_board_feet(units.round_half_up(value)),
    "kg": lambda value, display: units.format_mass(value, display.system),
    "ml": lambda value, display: units.format_liquid(value, display.system),
    "share": lambda value, _: f"{_plain(100 * value)} %",
    "ft2": lambda value, _: f"{_plain(value)} ft²",
    "ft3": lambda value, _: f"{_plain(value)} ft³",
    "m2": lambda value, _: f"{_plain(value)} m²",
    "m3": lambda value, _: f"{_plain(value)} m³",
}
