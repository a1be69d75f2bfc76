"""Other things the logs teach, by the same sums as the minutes: used over expected, with another baseline.

Glue, finish, lumber, prices, rework, work nobody planned, bench hours, weeks: each is a ratio near one, seen once a
project or more often, apart by group and by item, drifting slowly. So each is a calibration of `journal.pace.model`
whose 'book' says one for one. What is expected already holds the shop's own setting: a ratio of one means 'as set'.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from journal.errors import BadInput, Problem
from journal.pace.design import Row
from journal.pace.integrate import Sampled
from journal.pace.model import BookPace, Calibration, Task, fit
from journal.pace.priors import Fixed, HalfNormal, Level, Priors
from journal.working import Spread

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

_DRAWS = 4_000
_MOST_TIMES = 50.0  # a ratio further from one than this is a slip of the pen
_NONE = Fixed(0.0)
_POINTS = Sampled(pilot=64, points=192)  # fewer deviations than the paces have, and only a mean and a spread are asked


class Kind(StrEnum):
    """What is compared."""

    GLUE = "glue"  # ml used ÷ area × spread × waste
    FINISH = "finish"  # ml used ÷ area ÷ coverage, by finish and by first or later coat
    YIELD = "yield"  # lumber bought and not put back ÷ lumber in the blanks, by form and species
    REJECTS = "rejects"  # boards looked over ÷ boards good, by form
    PRICE = "price"  # paid ÷ price book of the day it was agreed, by species and size
    REWORK = "rework"  # all minutes ÷ minutes without what was done again
    UNPLANNED = "unplanned"  # minutes ÷ minutes of what was planned, at the quantities planned
    BENCH_HOURS = "bench hours"  # minutes logged in a week ÷ bench minutes of a week
    WEEKS = "weeks"  # weeks from agreed to delivered ÷ weeks the agreed hours come to


def _priors(
    level: float, group: float, item: float, project: float, entry: float, small: float, *, mean: float = 1.0
) -> Priors:
    """Priors by their scales, 0 for an effect that is not there; the level lies about `mean`."""
    parts = (HalfNormal(scale) if scale else _NONE for scale in (0.1 * level, group, item, project))
    drift, stage, operation, luck = parts
    return Priors(Level(math.log(mean), level), drift, stage, operation, luck, HalfNormal(entry, least=0.005), small)


# Starting assumptions: standard deviations of the logarithm of level, group, item, project and entry, and the expected
# amount (in its own unit) at which chance alone doubles an entry's variance.
PRIORS: Mapping[Kind, Priors] = {
    Kind.GLUE: _priors(0.3, 0.15, 0.0, 0.0, 0.25, 20.0),
    Kind.FINISH: _priors(0.3, 0.15, 0.1, 0.1, 0.25, 50.0),
    Kind.YIELD: _priors(0.3, 0.1, 0.1, 0.0, 0.2, 5.0, mean=1.43),
    Kind.REJECTS: _priors(0.1, 0.05, 0.0, 0.0, 0.08, 10.0),
    Kind.PRICE: _priors(0.1, 0.05, 0.05, 0.05, 0.08, 0.0),
    Kind.REWORK: _priors(0.1, 0.0, 0.0, 0.0, 0.08, 0.0),
    Kind.UNPLANNED: _priors(0.1, 0.0, 0.0, 0.0, 0.1, 0.0),
    Kind.BENCH_HOURS: _priors(0.5, 0.0, 0.0, 0.0, 0.5, 0.0),
    Kind.WEEKS: _priors(0.7, 0.0, 0.0, 0.0, 0.4, 0.0),
}


@dataclass(frozen=True, slots=True)
class Seen:
    """What was expected and what came, once.

    Args:
        project: whose; of the shop's own, any word.
        on: the day.
        group: what belongs together: a class of glue or finish, a form of lumber.
        item: what is told apart within it.
        expected: > 0, in the kind's unit, the shop's settings in it.
        actual: > 0, in the same unit.
    """

    project: str
    on: date
    group: str
    item: str
    expected: float
    actual: float


@dataclass(frozen=True, slots=True)
class Factor:
    """What to expect of a project to come, as times what is set.

    Attributes:
        mean, sd: its mean, and the standard deviation of its logarithm.
        range: eight times in ten between p10 and p90.
        seen, projects: what it rests on.
        newest: the last day of it.
    """

    mean: float
    sd: float
    range: Spread
    seen: int
    projects: int
    newest: date


@dataclass(frozen=True, slots=True)
class ItemBelief:
    """One item of a ratio: the shop's own, as times what is set, without a project's luck; and how often it was seen."""

    group: str
    item: str
    ratio: Spread
    seen: int


@dataclass(frozen=True, slots=True, eq=False)
class Learned:
    """What one kind has taught; the same only as itself, so that what follows from it can be kept with it.

    Attributes:
        kind: what was compared.
        calibration: of the model; its operations are the items.
        rows: the evidence, added up by project and item.
        problems: what could not be used; the line is its place in the sequence.
    """

    kind: Kind
    calibration: Calibration
    rows: tuple[Row, ...]
    problems: tuple[Problem, ...]

    @property
    def items(self) -> tuple[ItemBelief, ...]:
        """What was seen, item by item, in the order of their names."""
        beliefs = sorted(self.calibration.paces(), key=lambda belief: belief.code)
        return tuple(ItemBelief(one.stage, _item(one.code), one.ratio, one.logs) for one in beliefs)

    def has(self, group: str) -> bool:
        """Whether anything of a group was seen."""
        return any(row.stage == group for row in self.rows)

    @staticmethod
    def as_seen(row: Row) -> Seen:
        """A row of the evidence as it was seen, added up."""
        item = _item(row.shares[0][0])
        return Seen(row.project, row.on, row.stage, item, row.baseline_minutes, row.minutes)

    def factor(self, expected: Mapping[tuple[str, str], float] | None = None) -> Factor | None:
        """What a project of these expected amounts will come to.

        Args:
            expected: by (group, item), > 0; unseen ones are answered from what is known of the others. None for a
                project of the usual make-up: the mean of what was seen.

        Returns:
            None when nothing was seen: the shop's setting stands.
        """
        if not self.rows:
            return None
        wanted = self._usual() if expected is None else {key: amount for key, amount in expected.items() if amount > 0}
        if not wanted:
            return None
        found = _with_items(self, wanted)
        tasks = [Task(_code(*key), amount) for key, amount in wanted.items()]
        ratio = found.draw(tasks, _DRAWS).total / sum(wanted.values())
        low, half, high = (float(value) for value in np.quantile(ratio, (0.1, 0.5, 0.9)))
        return Factor(
            mean=float(ratio.mean()),
            sd=float(np.log(ratio).std()),
            range=Spread(low, half, high),
            seen=sum(row.logs for row in self.rows),
            projects=self.calibration.projects,
            newest=max(row.on for row in self.rows),
        )

    def _usual(self) -> dict[tuple[str, str], float]:
        amounts: dict[tuple[str, str], float] = {}
        for row in self.rows:
            key = (row.stage, _item(row.shares[0][0]))
            amounts[key] = amounts.get(key, 0.0) + row.baseline_minutes
        return {key: amount / self.calibration.projects for key, amount in amounts.items()}


def learn(kind: Kind, seen: Sequence[Seen], *, today: date) -> Learned:
    """Learn one kind of ratio.

    Args:
        kind: which; its priors are `PRIORS`.
        seen: in any order; may be empty.
        today: the day the answer is for; what is dated later is refused.
    """
    rows, problems = _rows(seen, today)
    calibration = fit(rows, _book(rows), today=today, priors=PRIORS[kind], integrator=_POINTS)
    return Learned(kind, calibration, rows, problems)


def _code(group: str, item: str) -> str:
    """Items of two groups may bear one name, but an operation belongs to one stage."""
    return f"{group}\n{item}"


def _item(code: str) -> str:
    return code.partition("\n")[2]


def _book(rows: Sequence[Row]) -> dict[str, BookPace]:
    return {row.shares[0][0]: BookPace(row.shares[0][0], row.stage, 0.0, 1.0) for row in rows}


def _with_items(found: Learned, wanted: Mapping[tuple[str, str], float]) -> Calibration:
    asked = {_code(group, item): BookPace(_code(group, item), group, 0.0, 1.0) for group, item in wanted}
    return replace(found.calibration, book={**found.calibration.book, **asked})


def _rows(seen: Sequence[Seen], today: date) -> tuple[tuple[Row, ...], tuple[Problem, ...]]:
    """Rows by project, group and item; the problems name what was left out."""
    piles: dict[tuple[str, str, str], list[Seen]] = {}
    problems = []
    for place, one in enumerate(seen, start=1):
        try:
            _check(one, today)
        except BadInput as refused:
            problems.append(Problem(place, refused.field, str(refused)))
            continue
        piles.setdefault((one.project, one.group, one.item), []).append(one)
    return tuple(_row(*key, held) for key, held in piles.items()), tuple(problems)


def _row(project: str, group: str, item: str, held: Sequence[Seen]) -> Row:
    return Row(
        project=project,
        on=max(one.on for one in held),
        stage=group,
        shares=((_code(group, item), 1.0),),
        baseline_minutes=sum(one.expected for one in held),
        minutes=sum(one.actual for one in held),
        logs=len(held),
    )


def _check(one: Seen, today: date) -> None:
    if one.on > today:
        raise BadInput(f"date of {one.item or one.group}", one.on, f"a day up to today, {today}")
    for word, value in (("expected", one.expected), ("actual", one.actual)):
        if not (math.isfinite(value) and value > 0):
            raise BadInput(f"{word} {one.item or one.group}", value, "an amount above zero")
    if not 1 / _MOST_TIMES <= one.actual / one.expected <= _MOST_TIMES:
        raise BadInput(
            f"{one.item or one.group}", f"{one.actual:g} for {one.expected:g}", "an amount nearer to what was expected"
        )
