"""What do a glue, the clamps and the people here allow in one clamping, and what would do where they allow none?"""

from __future__ import annotations

import math
from dataclasses import dataclass

from journal import units
from journal.errors import BadInput, NoSolution

MOST_SPREADERS = 4
# Times that add up to the limit itself are inside it, whatever binary fractions make of them.
SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class ClampingRules:
    """What this glue, this shop and its people allow.

    Attributes:
        glue: its name, for the reasons.
        open_minutes: a spread face must be closed within this, at the shop's temperature.
        total_minutes: first spread to last clamp, at the shop's temperature.
        shares_open: whether open time used is taken off the rest in proportion (resin glues).
        spread_minutes_ft2: one person spreads a square foot of glue line in this, set-up left out.
        close_minutes_clamp: to set and close one clamp.
        spreaders: people who spread.
        clamps: that can be used at once.
        spacing_nm: between clamps.
        feed_kg: heaviest section that those who are there feed through the planer.
        temp_f, min_temp_f: the shop's temperature, and the coldest at which this glue may be used.
        shown: how the shop writes quantities.
    """

    glue: str
    open_minutes: float
    total_minutes: float
    shares_open: bool
    spread_minutes_ft2: float
    close_minutes_clamp: float
    spreaders: int
    clamps: int
    spacing_nm: int
    feed_kg: float
    temp_f: float
    min_temp_f: float
    shown: units.Shown = units.IN_INCHES

    def __post_init__(self) -> None:
        if not 0 <= self.open_minutes <= self.total_minutes:
            raise BadInput("open time", self.open_minutes, "0 minutes or more, and no more than the assembly time")
        if not 1 <= self.spreaders <= MOST_SPREADERS:
            raise BadInput("people who spread glue", self.spreaders, f"1 to {MOST_SPREADERS}")
        if self.clamps < 0:
            raise BadInput("clamps on hand", self.clamps, "0 or more")
        for name, value in (
            ("minutes a square foot", self.spread_minutes_ft2),
            ("minutes a clamp", self.close_minutes_clamp),
            ("clamp spacing", self.spacing_nm),
            ("weight that is fed", self.feed_kg),
        ):
            if not value > 0:
                raise BadInput(name, value, "more than 0")


@dataclass(frozen=True, slots=True)
class Stack:
    """Strips to be glued into one piece, all alike.

    Attributes:
        label: of the part.
        strips: how many.
        strip_thickness_nm: of one as planed; what they add up in.
        line_width_nm: width of the glue line between two strips.
        joined_width_nm: width of the glue line between two sections.
        length_nm: of the strips as glued.
        strip_kg: weight of one.
        planer_width_nm: widest section that is planed; 0 when sections are not planed.
    """

    label: str
    strips: int
    strip_thickness_nm: int
    line_width_nm: int
    joined_width_nm: int
    length_nm: int
    strip_kg: float
    planer_width_nm: int

    def __post_init__(self) -> None:
        if self.strips < 2:
            raise BadInput("strips", self.strips, "2 or more to glue")


def clamps_along(length_nm: int, spacing_nm: int) -> int:
    """Clamps for a length: one at each end and no gap wider than the spacing."""
    return math.ceil(length_nm / spacing_nm) + 1


def closed_minutes_left(open_limit: float, closed_limit: float, open_used: float) -> float:
    """Minutes of closed assembly that remain when some of the open assembly time is used: (1 − used / open) × closed.

    Args:
        open_limit: the longest open assembly, minutes.
        closed_limit: the longest closed assembly, minutes.
        open_used: minutes between spreading and closing a face, up to the limit.

    Raises:
        BadInput: when more than the open time is used.

    Source: wood-aircraft construction manual, adhesive appendix, Table 3: a third used leaves two thirds.
    """
    if not 0 <= open_used <= open_limit:
        raise BadInput("open minutes used", open_used, f"0 to {open_limit:g}, the open time")
    return closed_limit * (1 - open_used / open_limit) if open_limit else 0.0


def face_minutes(width_nm: int, length_nm: int, rules: ClampingRules) -> float:
    """Minutes to spread one face, by all who spread."""
    return units.square_feet(width_nm * length_nm) * rules.spread_minutes_ft2 / rules.spreaders


def limit_minutes(face: float, rules: ClampingRules) -> float:
    """Minutes the glue gives from first spread to last clamp, when a face is closed so long after it is begun."""
    if not rules.shares_open:
        return rules.total_minutes
    return face + closed_minutes_left(rules.open_minutes, rules.total_minutes, face)


def most_lines(label: str, width_nm: int, length_nm: int, rules: ClampingRules) -> int:
    """Glue lines that one clamping can take, 1 or more.

    Raises:
        NoSolution: too cold, too few clamps, a face that skins over before it is closed, or not even one line in time;
            says what would do.
    """
    _refuse_cold(label, rules)
    clamps = clamps_along(length_nm, rules.spacing_nm)
    length = rules.shown.length(length_nm, feet=True)
    if clamps > rules.clamps:
        raise NoSolution(
            label,
            f"{length} takes {clamps} clamps, one every {rules.shown.length(rules.spacing_nm)}; there are {rules.clamps}",
            _more_clamps(clamps, length_nm, rules),
        )
    face = face_minutes(width_nm, length_nm, rules)
    if face > rules.open_minutes + SLACK:
        raise NoSolution(
            label,
            f"spreading one face of {length} takes {units.format_minutes(face)}, and {rules.glue} stays open for "
            f"{units.format_minutes(rules.open_minutes)} at {rules.shown.temperature(rules.temp_f)}",
            _quicker(face, rules.open_minutes, rules),
        )
    closing = clamps * rules.close_minutes_clamp
    given = limit_minutes(face, rules)
    lines = math.floor((given - closing) / face + SLACK)
    if lines < 1:
        raise NoSolution(
            label,
            f"one glue line of {length} and its {clamps} clamps take {units.format_minutes(face + closing)}, and "
            f"{rules.glue} gives {units.format_minutes(given)} at {rules.shown.temperature(rules.temp_f)}",
            f"a slower glue, a cooler shop, or clamps closed in {units.format_minutes(max(given - face, 0) / clamps)} each would do",
        )
    return lines


def _refuse_cold(label: str, rules: ClampingRules) -> None:
    if rules.temp_f < rules.min_temp_f:
        raise NoSolution(
            label,
            f"the shop is at {rules.shown.temperature(rules.temp_f)}, too cold to glue",
            f"{rules.glue} wants {rules.shown.temperature(rules.min_temp_f)} or more: warm the shop and the wood",
        )


def _more_clamps(clamps: int, length_nm: int, rules: ClampingRules) -> str:
    missing = clamps - rules.clamps
    advice = f"{missing} more clamp{'s' if missing > 1 else ''} would do"
    if rules.clamps < 2:
        return advice
    wider_nm = math.ceil(length_nm / (rules.clamps - 1))
    return (
        f"{advice}, or one every {rules.shown.length(wider_nm + units.NM_PER_INCH // 16)} if the glue’s guide allows it"
    )


def _quicker(face: float, open_minutes: float, rules: ClampingRules) -> str:
    people = math.ceil(face * rules.spreaders / open_minutes) if open_minutes else MOST_SPREADERS + 1
    if people <= MOST_SPREADERS:
        return f"{people} people spreading, a slower glue or a cooler shop would do"
    return "a slower glue or a cooler shop would do"
