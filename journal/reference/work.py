"""What is done, with which machine and which care: stages, operations, features, machines, cautions.

Minutes, shares and hourly costs here are the starting book, used until the shop's own logs and settings say otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from journal.errors import BadInput, MissingReference
from journal.reference import table

if TYPE_CHECKING:
    from collections.abc import Mapping

    from journal.reference.table import Mark

COUNTED_BY = ("count", "length")


@dataclass(frozen=True, slots=True)
class Stage:
    """A family of operations as a maker speaks of an evening."""

    code: str
    name: str
    order: int
    source: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class Caution:
    """Usual advice for one machine, material or situation."""

    key: str
    title: str
    text: str
    source: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class Machine:
    """A kind of machine with cautious limits; None where the kind has no such limit.

    Attributes:
        kind: its trade name.
        max_width_nm: widest stock it takes.
        max_height_nm: thickest stock it takes (planer), or deepest cut (saws, drill press, router).
        min_length_nm, min_width_nm, min_thickness_nm: smallest stock that may be fed.
        max_depth_nm: most that comes off in one pass.
        feed_fpm: feet a minute, where stock is fed.
        cost_cents_per_hour: wear, blades, upkeep and power for an hour in the cut; an assumption.
        cautions: keys of the cautions that apply.
    """

    kind: str
    max_width_nm: int | None
    max_height_nm: int | None
    min_length_nm: int | None
    min_width_nm: int | None
    min_thickness_nm: int | None
    max_depth_nm: int | None
    feed_fpm: float | None
    cost_cents_per_hour: int
    cautions: tuple[str, ...]
    note: str
    source: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class Operation:
    """One kind of work and its starting pace.

    Attributes:
        code: its short name, which logs refer to.
        stage: code of its stage.
        name: as a maker says it.
        driver: what its quantity is counted by, in words.
        unit: of the quantity: `ft`, `ft2`, `cut`, `ft2·coat`, …
        setup_minutes: once a set-up.
        minutes_per_unit: for each unit of quantity.
        machine: kind of machine, or nothing.
        machine_share: the part of its minutes the machine runs, 0 to 1.
        caution: key of the caution, or nothing.
        hand: hand work that dulls edges, from which sharpening follows.
    """

    code: str
    stage: str
    name: str
    driver: str
    unit: str
    setup_minutes: float
    minutes_per_unit: float
    machine: str
    machine_share: float
    caution: str
    hand: bool
    note: str
    source: str
    mark: Mark

    def __post_init__(self) -> None:
        if not 0 <= self.machine_share <= 1:
            raise BadInput("machine_share", self.machine_share, "a share from 0 to 1")
        if (self.machine_share > 0) != bool(self.machine):
            raise BadInput("machine_share", self.machine_share, "a share above 0 with a machine, and 0 without one")
        if self.setup_minutes + self.minutes_per_unit <= 0:
            raise BadInput("minutes_per_unit", self.minutes_per_unit, "some minutes, by set-up or by unit")


@dataclass(frozen=True, slots=True)
class Feature:
    """Something a part may carry, and the work it brings.

    Attributes:
        word: its name; `aliases` and `plural` are accepted too.
        counted_by: `count`, or `length` for something that runs along an edge (its operations count feet).
        operations: operation codes, each with units of it for one of these (or for a foot of it).
        hardware: whether something must be bought for it.
    """

    word: str
    aliases: tuple[str, ...]
    plural: str
    counted_by: str
    operations: tuple[tuple[str, float], ...]
    hardware: bool
    note: str
    source: str
    mark: Mark

    def __post_init__(self) -> None:
        if self.counted_by == "length":
            bad = [code for code, _ in self.operations if operations()[code].unit != "ft"]
            if bad:
                raise BadInput("operations", ", ".join(bad), "operations counted in feet, as it is counted by length")


def _operation_counts(cell: str) -> tuple[tuple[str, float], ...]:
    """Read `code:multiplier;code:multiplier`."""
    read_code = table.one_of("operation", operations)
    counts: list[tuple[str, float]] = []
    for piece in cell.split(";"):
        code, colon, multiplier = piece.strip().partition(":")
        if not colon:
            raise BadInput("operations", piece, "code:multiplier, separated by ;")
        counts.append((read_code(code), table.positive(multiplier)))
    if len({code for code, _ in counts}) < len(counts):
        raise BadInput("operations", cell, "each operation once")
    return tuple(counts)


STAGES = table.Shape(
    file="stages.csv",
    columns={"code": table.text, "name": table.text, "order": table.whole},
    build=Stage,
    key=lambda row: row.code,
)
CAUTIONS = table.Shape(
    file="cautions.csv",
    columns={"key": table.text, "title": table.text, "text": table.text},
    build=Caution,
    key=lambda row: row.key,
)


@cache
def stages() -> Mapping[str, Stage]:
    """Stages by code, in the order of a job."""
    rows = sorted(table.load_shared(STAGES), key=lambda row: row.order)
    return table.by_key(rows, lambda row: row.code)


@cache
def cautions() -> Mapping[str, Caution]:
    """Cautions by key."""
    return table.by_key(table.load_shared(CAUTIONS), lambda row: row.key)


MACHINES = table.Shape(
    file="machines.csv",
    columns={
        "kind": table.text,
        "max_width": table.optional(table.length),
        "max_height": table.optional(table.length),
        "min_length": table.optional(table.length),
        "min_width": table.optional(table.length),
        "min_thickness": table.optional(table.length),
        "max_depth": table.optional(table.length),
        "feed_fpm": table.optional(table.positive),
        "cost_cents_per_hour": table.whole,
        "cautions": table.each_of("caution", cautions),
        "note": table.note,
    },
    build=table.in_nm(Machine, "max_width", "max_height", "min_length", "min_width", "min_thickness", "max_depth"),
    key=lambda row: row.kind,
)


@cache
def machines() -> Mapping[str, Machine]:
    """Kinds of machine, by kind."""
    return table.by_key(table.load_shared(MACHINES), lambda row: row.kind)


OPERATIONS = table.Shape(
    file="operations.csv",
    columns={
        "code": table.text,
        "stage": table.one_of("stage", stages),
        "name": table.text,
        "driver": table.text,
        "unit": table.text,
        "setup_minutes": table.number,
        "minutes_per_unit": table.number,
        "machine": table.one_of("machine", lambda: ("", *machines())),
        "machine_share": table.number,
        "caution": table.one_of("caution", lambda: ("", *cautions())),
        "hand": table.yes_no,
        "note": table.note,
    },
    build=Operation,
    key=lambda row: row.code,
)


@cache
def operations() -> Mapping[str, Operation]:
    """The starting book: operations by code, in table order."""
    return table.by_key(table.load_shared(OPERATIONS), lambda row: row.code)


FEATURES = table.Shape(
    file="features.csv",
    columns={
        "word": table.text,
        "aliases": table.words,
        "plural": table.text,
        "counted_by": table.one_of("way of counting", lambda: COUNTED_BY),
        "operations": _operation_counts,
        "hardware": table.yes_no,
        "note": table.note,
    },
    build=Feature,
    key=lambda row: row.word,
)


@cache
def features() -> Mapping[str, Feature]:
    """Features by word."""
    return table.by_key(table.load_shared(FEATURES), lambda row: row.word)


@cache
def _feature_index() -> dict[str, Feature]:
    index: dict[str, Feature] = {}
    for feature in features().values():
        for name in (feature.word, feature.plural, *feature.aliases, *(f"{alias}s" for alias in feature.aliases)):
            taken = index.setdefault(_plain(name), feature)
            if taken is not feature:
                raise BadInput("features.csv", name, f"a name of its own; {taken.word} has it already")
    return index


def find_feature(word: str) -> Feature:
    """The feature a word means: singular, plural or another name, in any case, hyphens as blanks.

    Raises:
        MissingReference: listing the known words.
    """
    found = _feature_index().get(_plain(word))
    if found is None:
        raise MissingReference("feature", word, tuple(features()))
    return found


def _plain(word: str) -> str:
    return " ".join(word.casefold().replace("-", " ").split())
