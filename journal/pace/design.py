"""Rows of evidence → columns: the level, the drift by half-years, the stages, the operations.

Only what occurs gets a column; the rest keeps its prior exactly. Today is a knot of the drift like any half-year with
a log, so a shop silent for years is as uncertain about itself as it should be.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from journal.errors import BadInput
from journal.pace import algebra

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence
    from datetime import date

    from numpy.typing import NDArray

    from journal.pace.algebra import Absorbed
    from journal.pace.normal import Floats
    from journal.pace.priors import Priors

Name = tuple[str, str]  # ("stage", code), ("operation", code), ("project", code) or ("level", half-year)
SHOP: Name = ("shop", "")  # μ + d(today)


@dataclass(frozen=True, slots=True)
class Row:
    """One piece of evidence.

    Args:
        project: whose work it was.
        on: the last day of it.
        stage: the stage all its operations belong to.
        shares: (operation, share of the baseline), the shares > 0 and summing to 1.
        baseline_minutes: what the book says, > 0.
        minutes: what it took, > 0; person-minutes.
        logs: how many lines of the log it was made of.
        by_stage: logged for the stage as a whole.
    """

    project: str
    on: date
    stage: str
    shares: tuple[tuple[str, float], ...]
    baseline_minutes: float
    minutes: float
    logs: int = 1
    by_stage: bool = False

    def __post_init__(self) -> None:
        for field, value in (("baseline minutes", self.baseline_minutes), ("minutes", self.minutes)):
            if not (value > 0 and math.isfinite(value)):
                raise BadInput(field, value, "a finite number above zero")
        total = 0.0
        for _, share in self.shares:
            if not share > 0:
                raise BadInput("shares", self.shares, "shares above zero")
            total += share
        if abs(total - 1.0) > 1e-6:
            raise BadInput("shares", self.shares, "shares that add up to 1")
        if len(self.shares) > 1 and len({code for code, _ in self.shares}) < len(self.shares):
            raise BadInput("shares", self.shares, "each operation once")


@dataclass(frozen=True, slots=True)
class Design:
    """The reduced rows and how to read the answer.

    Attributes:
        absorbed: what the likelihood needs.
        names: the effects asked for: SHOP, the stages, the operations, the projects kept.
        read: shape (m, q); read @ β are those effects …
        offset: … after adding this, shape (m,).
    """

    absorbed: Absorbed
    names: tuple[Name, ...]
    read: Floats
    offset: Floats


def half_year(day: date) -> int:
    """Half-years since the year 0: January to June, July to December."""
    return day.year * 2 + (day.month > 6)


@dataclass(frozen=True, slots=True)
class _Layout:
    """Which column is what: level, drift, stages, operations, kept projects, in this order.

    Attributes:
        level: 1, or 0 when the level is held.
        knots: the half-years that occur, the first being the drift's origin.
        stages, operations, kept: name → place in its block.
    """

    level: int
    knots: NDArray[np.intp]
    stages: Mapping[str, int]
    operations: Mapping[str, int]
    kept: Mapping[str, int]

    @property
    def at_stage(self) -> int:
        return self.level + len(self.knots) - 1

    @property
    def at_operation(self) -> int:
        return self.at_stage + len(self.stages)

    @property
    def at_kept(self) -> int:
        return self.at_operation + len(self.operations)

    @property
    def width(self) -> int:
        return self.at_kept + len(self.kept)


def build(
    rows: Sequence[Row], today: date, priors: Priors, keep: Collection[str] = (), *, levels: bool = False
) -> Design:
    """The columns of some rows.

    Args:
        rows: in any order.
        today: the day the answer is for.
        priors: the level's prior and m₀ are used here.
        keep: projects whose own effect the answer shall hold.
        levels: whether it shall hold the shop's level in every half-year that occurs.
    """
    projects = _index(row.project for row in rows)
    halves = np.array([half_year(row.on) for row in rows], dtype=np.intp)
    layout = _Layout(
        level=0 if priors.level.sd == 0 else 1,
        knots=np.unique(np.append(halves, half_year(today))),
        stages=_index(row.stage for row in rows),
        operations=_index(code for row in rows for code, _ in row.shares),
        kept=_index(name for name in keep if name in projects),
    )
    baseline = np.array([row.baseline_minutes for row in rows], dtype=np.float64)
    y = np.log(np.array([row.minutes for row in rows], dtype=np.float64) / baseline)
    # A stage's minutes are a sum: the scatter of its operations evens out. For an operation alone this is 1 + m₀ / b.
    own = np.array([sum(share * share for _, share in row.shares) for row in rows], dtype=np.float64)
    d = own + priors.small_task_minutes / baseline
    middle = _middle(priors, y, d)
    group = np.array([-1 if row.project in layout.kept else projects[row.project] for row in rows], dtype=np.intp)
    absorbed = algebra.absorb(_fill(rows, halves, layout), y - middle, d, group, _columns(priors, layout))
    return _answer(absorbed, layout, half_year(today), middle, levels=levels)


def _index(names: Iterable[str]) -> dict[str, int]:
    return {name: at for at, name in enumerate(sorted(set(names)))}


def _middle(priors: Priors, y: Floats, d: Floats) -> float:
    """What is taken off y first: the level's prior mean or, under a flat level, a mean of y (it saves digits)."""
    if math.isfinite(priors.level.sd):
        return priors.level.mean
    if len(y) == 0:
        raise BadInput("level sd", priors.level.sd, "a finite prior on the level while there is no log")
    return float(np.average(y, weights=1.0 / d))


def _fill(rows: Sequence[Row], halves: NDArray[np.intp], layout: _Layout) -> Floats:
    x = np.zeros((len(rows), layout.width))
    x[:, : layout.level] = 1.0
    x[:, layout.level : layout.at_stage] = halves[:, None] >= layout.knots[1:]
    x[np.arange(len(rows)), layout.at_stage + np.array([layout.stages[row.stage] for row in rows], np.intp)] = 1.0
    at = [index for index, row in enumerate(rows) for _ in row.shares]
    place = np.array([layout.operations[code] for row in rows for code, _ in row.shares], np.intp)
    x[at, layout.at_operation + place] = [share for row in rows for _, share in row.shares]
    for index, row in enumerate(rows):
        if row.project in layout.kept:
            x[index, layout.at_kept + layout.kept[row.project]] = 1.0
    return x


def _columns(priors: Priors, layout: _Layout) -> algebra.Columns:
    block = np.empty(layout.width, dtype=np.intp)
    block[: layout.level] = algebra.LEVEL
    block[layout.level : layout.at_stage] = algebra.DRIFT
    block[layout.at_stage : layout.at_operation] = algebra.STAGE
    block[layout.at_operation : layout.at_kept] = algebra.OPERATION
    block[layout.at_kept :] = algebra.PROJECT
    finite = math.isfinite(priors.level.sd)
    flat = (block == algebra.LEVEL) & (not finite)
    step = np.ones(layout.width)
    step[: layout.level] = priors.level.sd if finite else 1.0
    step[layout.level : layout.at_stage] = np.sqrt(np.diff(layout.knots))  # a silent half-year drifts too
    return algebra.Columns(block, step, flat)


def _answer(absorbed: Absorbed, layout: _Layout, today: int, middle: float, *, levels: bool) -> Design:
    shop = [(SHOP, today)] + [(("level", str(knot)), knot) for knot in layout.knots.tolist() if levels]
    names = [name for name, _ in shop]
    for kind, index in (("stage", layout.stages), ("operation", layout.operations), ("project", layout.kept)):
        names.extend((kind, code) for code in index)
    read = np.zeros((len(names), layout.width))
    read[: len(shop), : layout.level] = 1.0
    read[: len(shop), layout.level : layout.at_stage] = (
        np.array([half for _, half in shop])[:, None] >= layout.knots[1:]
    )
    read[len(shop) :, layout.at_stage :] = np.eye(len(names) - len(shop))
    offset = np.zeros(len(names))
    offset[: len(shop)] = middle
    return Design(absorbed, tuple(names), read, offset)
