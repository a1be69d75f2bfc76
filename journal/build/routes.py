"""Which machine does what to a part, and what must be done otherwise because a machine is too small?

Each route is a list of stations in the order of work; a station that departs from the usual way says why: rip before
jointing, mill long and cut after, plane by hand, bore from both faces.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import units
from journal.build.stock import Dimensional, Sheet
from journal.build.wood import part_density_kg_m3
from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from journal.build.milling import Milled

# For a finished surface; general millwork takes less (a trade magazine’s figure).
FINE_KNIFE_MARKS = 20.0


@dataclass(frozen=True, slots=True)
class Capacity:
    """What one machine takes, in nm; 0 where it has no such limit.

    Attributes:
        width_nm: widest stock.
        height_nm: thickest stock (planer), or deepest cut (saws, drill press, router).
        shortest_nm, thinnest_nm: smallest stock that may be fed.
    """

    width_nm: int = 0
    height_nm: int = 0
    shortest_nm: int = 0
    thinnest_nm: int = 0


@dataclass(frozen=True, slots=True)
class Station:
    """One machine or bench a part comes to; `why` says what is unusual, blank when nothing is."""

    machine: str
    action: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class Route:
    """The way of one part through the shop."""

    part: str
    stations: tuple[Station, ...]

    @property
    def unusual(self) -> tuple[Station, ...]:
        """Stations that depart from the usual way."""
        return tuple(station for station in self.stations if station.why)


BY_HAND = "hand tools"


def routes(
    parts: Sequence[Milled], machines: Mapping[str, Capacity], feed_kg: float, shown: units.Shown = units.IN_INCHES
) -> tuple[Route, ...]:
    """The way of every part.

    Args:
        parts: as milled and glued.
        machines: by kind; a kind that is missing is not in the shop.
        feed_kg: heavier work is not brought to a machine by those who are there.
        shown: how the shop writes lengths.
    """
    return tuple(Route(milled.part.label, _stations(milled, machines, feed_kg, shown)) for milled in parts)


def _stations(
    milled: Milled, machines: Mapping[str, Capacity], feed_kg: float, shown: units.Shown
) -> tuple[Station, ...]:
    if isinstance(milled.stock, Sheet):
        saw = "track saw" if "track saw" in machines else "table saw"
        return (_at(saw, machines, "cut to size"), *_boring(milled, machines, heavy=False))
    heavy = _weight_kg(milled) > feed_kg
    return (
        *_to_segments(milled, machines, shown),
        *_to_strips(milled, machines, shown),
        *_glued(milled, machines),
        *_to_length(milled, machines),
        *_boring(milled, machines, heavy=heavy),
    )


def _at(machine: str, machines: Mapping[str, Capacity], action: str, why: str = "") -> Station:
    if machine in machines:
        return Station(machine, action, why)
    return Station(BY_HAND, action, why or f"the shop has no {machine}")


def _to_segments(milled: Milled, machines: Mapping[str, Capacity], shown: units.Shown) -> list[Station]:
    length = shown.length(milled.blank_length_nm, feet=True)
    why = ""
    if milled.pieces_per_blank > 1:
        why = f"{milled.pieces_per_blank} in one piece of {length}, as each alone is too short for the machines"
    return [_at("crosscut saw", machines, "crosscut to rough length", why)]


def _to_strips(milled: Milled, machines: Mapping[str, Capacity], shown: units.Shown) -> list[Station]:
    jointer, planer = machines.get("jointer"), machines.get("thickness planer")
    stock_nm = milled.stock.width_nm if isinstance(milled.stock, Dimensional) else milled.blank_width_nm
    wide = jointer is not None and 0 < jointer.width_nm < stock_nm
    found = []
    if wide and jointer is not None:
        width = shown.length(jointer.width_nm)
        if milled.blank_width_nm > jointer.width_nm:
            found.append(Station(BY_HAND, "flatten one face", f"even ripped it is wider than the jointer, {width}"))
        else:
            saw = "band saw" if "band saw" in machines else "table saw"
            found.append(
                _at(saw, machines, "rip to rough width first", f"the board is wider than the jointer, {width}")
            )
    if jointer is None or milled.blank_width_nm <= (jointer.width_nm or milled.blank_width_nm):
        found.append(_at("jointer", machines, "joint a face and an edge"))
    thin = planer is not None and milled.milled_thickness_nm < planer.thinnest_nm
    found.append(
        _at(
            "thickness planer",
            machines,
            "plane to thickness",
            "thinner than the planer takes: on a carrier board" if thin else "",
        )
    )
    return [*found, _rip(milled, machines)]


def _rip(milled: Milled, machines: Mapping[str, Capacity]) -> Station:
    saw = machines.get("table saw")
    if saw is not None and 0 < saw.height_nm < milled.milled_thickness_nm:
        band = machines.get("band saw")
        if band is not None and (not band.height_nm or band.height_nm >= milled.milled_thickness_nm):
            return Station("band saw", "rip to width", "thicker than the table saw cuts")
        return Station("table saw", "rip to width from both faces", "thicker than the table saw cuts at once")
    return _at("table saw" if "table saw" in machines else "band saw", machines, "rip to width")


def _glued(milled: Milled, machines: Mapping[str, Capacity]) -> list[Station]:
    if not milled.glued:
        return []
    planer = machines.get("thickness planer")
    if planer is None or milled.by_hand:
        why = "too wide or too heavy for the planer" if planer is not None else "the shop has no thickness planer"
        return [Station(BY_HAND, "flatten by hand plane", why)]
    what = "plane the sections" if milled.sections > 1 else "plane the glued blank"
    height_nm = milled.blank_width_nm
    if planer.height_nm and height_nm > planer.height_nm:
        return [Station(BY_HAND, "flatten by hand plane", "thicker than the planer opens")]
    found = [Station("thickness planer", what)]
    if milled.sections > 1:
        found.append(Station(BY_HAND, f"joint the edges of {milled.sections} sections to each other"))
    return found


def _to_length(milled: Milled, machines: Mapping[str, Capacity]) -> list[Station]:
    part = milled.part
    saw = machines.get("crosscut saw")
    thick, wide = sorted((part.thickness_nm, part.width_nm))
    fits = saw is not None and wide <= (saw.width_nm or wide) and thick <= (saw.height_nm or thick)
    if fits and not milled.slab:
        return [Station("crosscut saw", "cut to length")]
    track = machines.get("track saw")
    depth_nm = track.height_nm if track is not None else 0
    if depth_nm and thick <= depth_nm:
        return [Station("track saw", "trim the ends", "wider than the crosscut saw takes")]
    if depth_nm and thick <= 2 * depth_nm:
        return [Station("track saw", "trim the ends from both faces", "thicker than the saw cuts at once")]
    return [Station(BY_HAND, "trim the ends with a handsaw", "wider and thicker than the saws take")]


def _boring(milled: Milled, machines: Mapping[str, Capacity], *, heavy: bool) -> list[Station]:
    if not milled.part.count("hole"):
        return []
    press = machines.get("drill press")
    depth_nm = milled.part.thickness_nm
    if press is None or heavy:
        why = "too heavy to bring to the drill press" if press is not None else "the shop has no drill press"
        return [_at("drill driver", machines, "bore the holes with a guide block", why)]
    if press.height_nm and depth_nm > press.height_nm:
        return [Station("drill press", "bore the holes from both faces", "deeper than the drill press reaches")]
    return [Station("drill press", "bore the holes")]


def _weight_kg(milled: Milled) -> float:
    return units.cubic_metres(milled.part.volume_nm3) * part_density_kg_m3(milled)


def knife_marks_per_inch(rpm: float, knives: int, feed_fpm: float) -> float:
    """Cuts an inch that a jointer or planer leaves: rpm × knives / (feet a minute × 12).

    Raises:
        BadInput: for a feed, speed or number of knives of 0 or less.

    Source: a woodworking trade magazine’s “knife marks per inch”; 20 or more for a finished surface.
    """
    for name, value in (("revolutions a minute", rpm), ("knives", knives), ("feed", feed_fpm)):
        if not value > 0:
            raise BadInput(name, value, "more than 0")
    return rpm * knives / (feed_fpm * 12)
