"""How is something heavy moved: what one end weighs, which way, and what the lifting equation advises?

The revised NIOSH lifting equation is guidance for a two-handed, smooth lift by one person under good conditions; it does
not hold for one hand, seated or kneeling, restricted room, an unstable load, carrying, pushing, slippery floors, heat or
cold. It is never a head count: how many people a lift takes is theirs to say. Lengths in centimetres, weights in
kilograms here, as the equation is printed.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from enum import StrEnum

from journal import units
from journal.errors import BadInput

LOAD_CONSTANT_KG = 23.0
STRESSFUL_INDEX = 3.0

# Lifts a minute, then the multiplier by duration (to 1, 2, 8 hours), each for a start below 75 cm and from 75 cm up.
# NIOSH Pub. 94-110, Table 5; the zeros below 75 cm from a published reading of the method and from memory, verify.
_FREQUENCY: tuple[tuple[float, tuple[float, float, float, float, float, float]], ...] = (
    (0.2, (1.00, 1.00, 0.95, 0.95, 0.85, 0.85)),
    (0.5, (0.97, 0.97, 0.92, 0.92, 0.81, 0.81)),
    (1, (0.94, 0.94, 0.88, 0.88, 0.75, 0.75)),
    (2, (0.91, 0.91, 0.84, 0.84, 0.65, 0.65)),
    (3, (0.88, 0.88, 0.79, 0.79, 0.55, 0.55)),
    (4, (0.84, 0.84, 0.72, 0.72, 0.45, 0.45)),
    (5, (0.80, 0.80, 0.60, 0.60, 0.35, 0.35)),
    (6, (0.75, 0.75, 0.50, 0.50, 0.27, 0.27)),
    (7, (0.70, 0.70, 0.42, 0.42, 0.22, 0.22)),
    (8, (0.60, 0.60, 0.35, 0.35, 0.18, 0.18)),
    (9, (0.52, 0.52, 0.30, 0.30, 0.00, 0.15)),
    (10, (0.45, 0.45, 0.26, 0.26, 0.00, 0.13)),
    (11, (0.41, 0.41, 0.00, 0.23, 0.00, 0.00)),
    (12, (0.37, 0.37, 0.00, 0.21, 0.00, 0.00)),
    (13, (0.00, 0.34, 0.00, 0.00, 0.00, 0.00)),
    (14, (0.00, 0.31, 0.00, 0.00, 0.00, 0.00)),
    (15, (0.00, 0.28, 0.00, 0.00, 0.00, 0.00)),
)
_HOURS = (1, 2, 8)


class Coupling(StrEnum):
    """How well the hands hold it."""

    GOOD = "good"  # handles
    FAIR = "fair"
    POOR = "poor"  # no handles, bulky, sharp edges: a slab


@dataclass(frozen=True, slots=True)
class Lift:
    """One kind of lift.

    Attributes:
        reach_cm: H, from between the ankles to the hands; under 25 counts as 25.
        start_cm, end_cm: V, height of the hands above the floor, before and after.
        twist_deg: A, how far the body turns.
        per_minute: F, lifts a minute; fewer than 0.2 count as 0.2.
        hours: how long this goes on, to 8.
        coupling: how well the hands hold it.
    """

    reach_cm: float
    start_cm: float
    end_cm: float
    twist_deg: float = 0.0
    per_minute: float = 0.2
    hours: float = 1.0
    coupling: Coupling = Coupling.POOR

    def __post_init__(self) -> None:
        for name, value in (("reach", self.reach_cm), ("start height", self.start_cm), ("end height", self.end_cm)):
            if value < 0:
                raise BadInput(name, value, "0 cm or more")
        if not 0 <= self.twist_deg <= 180:
            raise BadInput("twist", self.twist_deg, "0 to 180 degrees")
        if self.per_minute < 0:
            raise BadInput("lifts a minute", self.per_minute, "0 or more")
        if not 0 < self.hours <= 8:
            raise BadInput("hours of lifting", self.hours, "more than 0, to 8: the equation goes no further")


def reach_multiplier(reach_cm: float) -> float:
    """HM = 25 / H; 1 under 25 cm, 0 over 63 cm."""
    return 0.0 if reach_cm > 63 else 25 / max(reach_cm, 25)


def height_multiplier(height_cm: float) -> float:
    """VM = 1 − 0.003 |V − 75|; 0 over 175 cm."""
    return 0.0 if height_cm > 175 else 1 - 0.003 * abs(height_cm - 75)


def travel_multiplier(travel_cm: float) -> float:
    """DM = 0.82 + 4.5 / D; 1 under 25 cm, 0 over 175 cm."""
    return 0.0 if travel_cm > 175 else 0.82 + 4.5 / max(travel_cm, 25)


def twist_multiplier(twist_deg: float) -> float:
    """AM = 1 − 0.0032 A; 0 over 135 degrees."""
    return 0.0 if twist_deg > 135 else 1 - 0.0032 * twist_deg


def frequency_multiplier(per_minute: float, hours: float, start_cm: float) -> float:
    """FM of Table 5, straight lines between its rows; 0 beyond 15 lifts a minute."""
    column = 2 * next(place for place, most in enumerate(_HOURS) if hours <= most) + (start_cm >= 75)
    rate = max(per_minute, 0.2)
    rows = [(row, values[column]) for row, values in _FREQUENCY]
    if rate > rows[-1][0]:
        return 0.0
    for (low, before), (high, after) in itertools.pairwise(rows):
        if rate <= high:
            return before + (after - before) * (rate - low) / (high - low)
    return rows[-1][1]


def coupling_multiplier(coupling: Coupling, height_cm: float) -> float:
    """CM of Table 7."""
    if coupling is Coupling.GOOD:
        return 1.0
    if coupling is Coupling.POOR:
        return 0.90
    return 1.0 if height_cm >= 75 else 0.95


def recommended_kg(lift: Lift, *, controlled: bool = False) -> float:
    """Recommended weight limit, kg: 23 × HM × VM × DM × AM × FM × CM; 0 when a limit of the equation is passed.

    Args:
        lift: the lift.
        controlled: whether it must be set down with care; then the lower of its two ends counts.

    Source: revised NIOSH lifting equation, DHHS (NIOSH) Pub. 94-110 (revised 9/2021).
    """
    travel_cm = abs(lift.end_cm - lift.start_cm)
    heights = (lift.start_cm, lift.end_cm) if controlled else (lift.start_cm,)
    frequency = frequency_multiplier(lift.per_minute, lift.hours, lift.start_cm)
    shared = (
        LOAD_CONSTANT_KG
        * reach_multiplier(lift.reach_cm)
        * travel_multiplier(travel_cm)
        * twist_multiplier(lift.twist_deg)
        * frequency
    )
    return min(shared * height_multiplier(height) * coupling_multiplier(lift.coupling, height) for height in heights)


def lifting_index(load_kg: float, lift: Lift, *, controlled: bool = False) -> float:
    """Load over recommended limit: 1 or less is the goal, above 3 highly stressful; infinite when the limit is 0."""
    if load_kg < 0:
        raise BadInput("load", load_kg, "0 kg or more")
    limit = recommended_kg(lift, controlled=controlled)
    return load_kg / limit if limit else math.inf


class Way(StrEnum):
    """A way to move something, easiest first."""

    ALONE = "one person, close to the body"
    PIVOT = "one end at a time: tilt it, walk it round, pivot it on a block"
    TWO = "two people, one at each end"
    CART = "on a cart: tilt it on, strap it, roll it; a second person at the far end"
    HOIST = "hoist or lift table with straps; nobody under it"

    @property
    def needs_two(self) -> bool:
        """Whether it takes a second person."""
        return self in (Way.TWO, Way.CART)


@dataclass(frozen=True, slots=True)
class Move:
    """How something is moved.

    Attributes:
        what: it is.
        weight_kg, end_kg: all of it, and half of it: what one end weighs.
        way: advised.
        why: in words, with the assumptions behind it.
    """

    what: str
    weight_kg: float
    end_kg: float
    way: Way
    why: str


# The lift that a slab on trestles asks for: hands at 45 cm from the ankles, from knee height to bench height, held badly.
SLAB_LIFT = Lift(reach_cm=45, start_cm=50, end_cm=90, coupling=Coupling.POOR)
ASSUMED = (
    "hands 18 in (45 cm) out from the ankles, from knee to bench height, no handles, now and then, dry level floor"
)


def move(what: str, weight_kg: float, alone_kg: float, *, system: units.System = units.System.INCH) -> Move:
    """The way to move something, by its weight and by half of it, against what one person is ever shown to lift.

    Args:
        what: a name for it.
        weight_kg: of all of it.
        alone_kg: the shop’s limit for one person, 23 kg at most by the equation’s load constant.
        system: for the words.
    """
    if weight_kg <= 0:
        raise BadInput("weight", weight_kg, "more than 0 kg")
    end_kg = weight_kg / 2
    limit = min(alone_kg, recommended_kg(SLAB_LIFT))
    ideal = min(alone_kg, LOAD_CONSTANT_KG)
    if weight_kg <= limit:
        way = Way.ALONE
    elif end_kg <= limit:
        way = Way.PIVOT
    elif end_kg <= ideal:
        way = Way.TWO
    elif end_kg <= 2 * ideal:
        way = Way.CART
    else:
        way = Way.HOIST
    shown, half, most = (units.format_mass(kg, system) for kg in (weight_kg, end_kg, limit))
    why = f"{shown}, {half} at one end; the lifting equation advises {most} for one person ({ASSUMED})"
    return Move(what, weight_kg, end_kg, way, why)


def tips_over(depth_nm: int, height_nm: int) -> bool:
    """Whether something standing free is narrow enough to tip: more than three times as high as it is deep.

    Common practice; a push at the top of anything narrower needs little force.
    """
    return height_nm > 3 * depth_nm


@dataclass(frozen=True, slots=True)
class Box:
    """Outer size of what is carried, in nm, any order."""

    length_nm: int
    width_nm: int
    height_nm: int

    def __post_init__(self) -> None:
        if min(self.length_nm, self.width_nm, self.height_nm) <= 0:
            raise BadInput("size", str((self.length_nm, self.width_nm, self.height_nm)), "three lengths above 0")

    @property
    def ascending_nm(self) -> tuple[int, int, int]:
        """Smallest first."""
        small, middle, large = sorted((self.length_nm, self.width_nm, self.height_nm))
        return small, middle, large


def goes_through(box: Box, door_width_nm: int, door_height_nm: int) -> bool:
    """Whether it goes straight through a door, turned on any of its faces: its two smaller sides fit the opening."""
    small, middle, _ = box.ascending_nm
    narrow, wide = sorted((door_width_nm, door_height_nm))
    return small <= narrow and middle <= wide


def longest_round_corner_nm(first_nm: int, second_nm: int, width_nm: int) -> int:
    """Longest thing of a width that is carried level round a right-angled corner between two passages; 0 if none.

    The tightest of all angles decides: L = (a cos θ + b sin θ − w) / (sin θ cos θ), least over θ.

    Args:
        first_nm: a, width of one passage.
        second_nm: b, width of the other.
        width_nm: w, of what is carried, 0 for a pole.

    Source: geometry; for w = 0 it is the ladder problem, (a^⅔ + b^⅔)^(3/2).
    """
    if width_nm >= min(first_nm, second_nm):
        return 0
    low, high = 1e-6, math.pi / 2 - 1e-6

    def room(angle: float) -> float:
        sine, cosine = math.sin(angle), math.cos(angle)
        return (first_nm * cosine + second_nm * sine - width_nm) / (sine * cosine)

    # One valley between two walls: thirds close in on it.
    for _ in range(200):
        third = (high - low) / 3
        if room(low + third) < room(high - third):
            high -= third
        else:
            low += third
    return max(0, math.floor(room((low + high) / 2)))


@dataclass(frozen=True, slots=True)
class Stairs:
    """A flight of stairs as typed: clear width, headroom, and the depth of its landing (0: no turn)."""

    width_nm: int
    headroom_nm: int
    landing_nm: int = 0

    def __post_init__(self) -> None:
        if min(self.width_nm, self.headroom_nm) <= 0 or self.landing_nm < 0:
            raise BadInput("stairs", str((self.width_nm, self.headroom_nm)), "a width and a headroom above 0")


def goes_up(box: Box, stairs: Stairs) -> bool:
    """Whether it goes up the stairs: through their width and headroom, and round the landing if there is one.

    It is carried lengthwise, on its narrow side or flat; at the landing it may also be turned on end where it is no
    longer than the headroom. Rails and low ceilings that were not typed are not known.
    """
    small, middle, large = box.ascending_nm
    for across, upright in ((small, middle), (middle, small)):
        if across > stairs.width_nm or upright > stairs.headroom_nm:
            continue
        if not stairs.landing_nm or large <= stairs.headroom_nm:
            return True
        if large <= longest_round_corner_nm(stairs.width_nm, stairs.landing_nm, across):
            return True
    return False
