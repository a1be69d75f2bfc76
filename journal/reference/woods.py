"""What is known of each wood: weight and movement, by species or by the group it is sold in.

Specific gravity is oven-dry weight over volume at 12% moisture, the handbook's basis, and no other.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from statistics import fmean
from typing import TYPE_CHECKING

from journal.errors import BadInput, MissingReference
from journal.reference import table
from journal.reference.sizes import WOOD_KINDS
from journal.reference.table import Mark

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True)
class Species:
    """One wood, or the mean of a group of woods sold together.

    Attributes:
        name: its trade name.
        aliases: other names for it.
        kind: `softwood` or `hardwood`.
        group: the group it is sold in, or nothing.
        sg_12: oven-dry weight / volume at 12% moisture.
        shrink_radial_pct, shrink_tangential_pct, shrink_volumetric_pct: green to oven-dry, % of the green size.
        coef_radial, coef_tangential: change of size for 1% of moisture, as a share of the size; holds 6–14%.
        coef_of_group: the printed coefficients are those of several species together.
        sg_mark, shrink_mark, coef_mark: how far each family of values may be trusted.
        note: what a reader should know.
        source, mark: of the row; the weakest of the three marks.
    """

    name: str
    aliases: tuple[str, ...]
    kind: str
    group: str
    sg_12: float
    sg_mark: Mark
    shrink_radial_pct: float
    shrink_tangential_pct: float
    shrink_volumetric_pct: float
    shrink_mark: Mark
    coef_radial: float
    coef_tangential: float
    coef_of_group: bool
    coef_mark: Mark
    note: str
    source: str
    mark: Mark

    def __post_init__(self) -> None:
        if not 0.1 < self.sg_12 < 1.3:
            raise BadInput("sg_12", self.sg_12, "a specific gravity between 0.1 and 1.3")
        if not self.shrink_radial_pct < self.shrink_tangential_pct < self.shrink_volumetric_pct < 30:
            raise BadInput(
                "shrink_tangential_pct", self.shrink_tangential_pct, "radial < tangential < volumetric < 30%"
            )
        if not self.coef_radial < self.coef_tangential < 0.01:
            raise BadInput("coef_tangential", self.coef_tangential, "radial < tangential < 0.01")
        marks = list(Mark)
        weakest = max((self.sg_mark, self.shrink_mark, self.coef_mark), key=marks.index)
        if self.mark is not weakest:
            raise BadInput("mark", self.mark, f"the weakest of the row's marks, {weakest}")


@dataclass(frozen=True, slots=True)
class SpeciesGroup:
    """Woods graded and sold under one name.

    Attributes:
        name: the group's trade name.
        members: the species in it.
        sg_12_low, sg_12_high: the range of its members' specific gravity.
        mean: the plain mean of the members, as if it were one species.
    """

    name: str
    members: tuple[Species, ...]
    sg_12_low: float
    sg_12_high: float
    mean: Species


@dataclass(frozen=True, slots=True)
class GroupName:
    """A group's name as sold, with its other names."""

    name: str
    aliases: tuple[str, ...]
    source: str
    mark: Mark


GROUPS = table.Shape(
    file="species_groups.csv",
    columns={"name": table.text, "aliases": table.words},
    build=GroupName,
    key=lambda row: row.name,
)


@cache
def _group_names() -> tuple[GroupName, ...]:
    return table.load_shared(GROUPS)


SPECIES = table.Shape(
    file="species.csv",
    columns={
        "name": table.text,
        "aliases": table.words,
        "kind": table.one_of("kind", lambda: WOOD_KINDS),
        "group": table.one_of("group", lambda: ("", *(row.name for row in _group_names()))),
        "sg_12": table.positive,
        "sg_mark": table.mark,
        "shrink_radial_pct": table.positive,
        "shrink_tangential_pct": table.positive,
        "shrink_volumetric_pct": table.positive,
        "shrink_mark": table.mark,
        "coef_radial": table.positive,
        "coef_tangential": table.positive,
        "coef_of_group": table.yes_no,
        "coef_mark": table.mark,
        "note": table.note,
    },
    build=Species,
    key=lambda row: row.name,
)


@cache
def all_species() -> Mapping[str, Species]:
    """Every species by name, without the groups."""
    return table.by_key(table.load_shared(SPECIES), lambda row: row.name)


@cache
def species_groups() -> Mapping[str, SpeciesGroup]:
    """The groups as sold, by name, each with its members, the range of their weight and their mean."""
    groups = {row.name: _group(row) for row in _group_names()}
    return table.by_key(tuple(groups.values()), lambda group: group.name)


@cache
def _by_any_name() -> dict[str, Species]:
    """Species and group means under all their names; the species' own name wins over a group's."""
    found: dict[str, Species] = {}
    for one in (*all_species().values(), *(group.mean for group in species_groups().values())):
        for name in (one.name, *one.aliases):
            found.setdefault(_plain(name), one)
    return found


def species(name: str) -> Species:
    """The species of this name, or the mean of the group of this name.

    Raises:
        MissingReference: listing the known names.

    Source: Wood Handbook FPL-GTR-190, Tables 4-3, 5-3 and 13-5, marked value by value; a group's mean is computed.
    """
    found = _by_any_name().get(_plain(name))
    if found is None:
        raise MissingReference("wood", name, (*species_groups(), *all_species()))
    return found


def _plain(name: str) -> str:
    """A name as compared: small letters, hyphens and commas as blanks, single blanks."""
    return " ".join(name.casefold().replace("-", " ").replace(",", " ").split())


def _group(row: GroupName) -> SpeciesGroup:
    members = tuple(one for one in all_species().values() if one.group == row.name)
    if not members:
        raise MissingReference("group with members", row.name, tuple(all_species()))
    weights = [one.sg_12 for one in members]
    low, high = min(weights), max(weights)
    return SpeciesGroup(row.name, members, low, high, _mean(row, members, f"{low:.2f} to {high:.2f}"))


def _mean(row: GroupName, members: tuple[Species, ...], sg_range: str) -> Species:
    return Species(
        name=row.name,
        aliases=row.aliases,
        kind=members[0].kind,
        group=row.name,
        sg_12=fmean(one.sg_12 for one in members),
        sg_mark=Mark.COMPUTED,
        shrink_radial_pct=fmean(one.shrink_radial_pct for one in members),
        shrink_tangential_pct=fmean(one.shrink_tangential_pct for one in members),
        shrink_volumetric_pct=fmean(one.shrink_volumetric_pct for one in members),
        shrink_mark=Mark.COMPUTED,
        coef_radial=fmean(one.coef_radial for one in members),
        coef_tangential=fmean(one.coef_tangential for one in members),
        coef_of_group=True,
        coef_mark=Mark.COMPUTED,
        note=f"a board may be any of {len(members)} species; their specific gravity runs from {sg_range}",
        source=f"mean of {', '.join(one.name for one in members)}",
        mark=Mark.COMPUTED,
    )
