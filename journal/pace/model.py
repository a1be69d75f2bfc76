"""What this shop's logs say about the minutes of each operation, and what a new project would take.

For a row of project j on day t, of stage g and operations in shares:

    ln(minutes / baseline) = μ + d(t) + g_stage + Σ share_k a_k + p_j + e,   var e = σ² (Σ share_k² + m₀ / baseline)

μ ~ N(0, 0.5²) this shop against the book; d its drift, a random walk by half-year, nothing at the first; g, a, p ~ N(0, ·)
of stage, operation and project. The five standard deviations have priors and are integrated numerically; the rest is
exact (`journal.pace.algebra`). Old jobs fade because the shop moves on, not by weights of their own.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from operator import attrgetter
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from journal.errors import BadInput, MissingReference
from journal.pace import algebra, design, integrate
from journal.pace.algebra import ENTRY, OPERATION, PROJECT, STAGE, Absorbed
from journal.pace.design import SHOP, Name, Row
from journal.pace.integrate import Integrated, Settings
from journal.pace.normal import Floats, mixture_quantile
from journal.pace.priors import DEFAULT, Priors
from journal.pace.values import Belief, Book, BookPace, Courses, Draws, PaceBelief, Spreads, Task
from journal.working import Spread

if TYPE_CHECKING:
    from datetime import date

    from numpy.typing import NDArray

__all__ = [
    "Belief",
    "Book",
    "BookPace",
    "Calibration",
    "Courses",
    "Draws",
    "PaceBelief",
    "Row",
    "Spreads",
    "Task",
    "fit",
]

Integrator = Callable[[Absorbed, Priors], Integrated]
_SHARES = (0.1, 0.5, 0.9)
_day = attrgetter("on")


@dataclass(frozen=True, slots=True)
class _Count:
    logs: int = 0
    stage_logs: int = 0
    newest: date | None = None


@dataclass(frozen=True, slots=True)
class Calibration:
    """What the logs teach, as of a day.

    Attributes:
        book, priors, today: what it was fitted with.
        rows, projects: how much evidence.
        settings: weighted settings of the standard deviations, drift … entry.
        names: the effects with evidence: the shop's level today, stages, operations, projects kept.
        means: their posterior means at each setting, shape (n, m).
        triangles: the lower triangle of their covariances, row by row, shape (n, m (m + 1) / 2); see `covariances`.
    """

    book: Book
    priors: Priors
    today: date
    rows: int
    projects: int
    settings: Settings
    names: tuple[Name, ...]
    means: Floats
    triangles: Floats
    counts: Mapping[str, _Count] = field(repr=False)

    @property
    def spreads(self) -> Spreads:
        """Posterior of each standard deviation."""
        return Spreads(*(self._spread(index) for index in range(algebra.SDS)))

    def covariances(self, at: Sequence[int]) -> Floats:
        """Posterior covariances of some effects, by their places among the names, at each setting: shape (n, k, k)."""
        places = np.asarray(at, dtype=np.intp)
        low, high = np.maximum.outer(places, places), np.minimum.outer(places, places)
        return np.asarray(self.triangles[:, low * (low + 1) // 2 + high])

    def effect(self, kind: str, code: str = "") -> tuple[float, float]:
        """Posterior mean and standard deviation of one effect, in ln(minutes / book minutes).

        Raises:
            MissingReference: no row had it.
        """
        known = {name: at for at, name in enumerate(self.names)}
        if (kind, code) not in known:
            raise MissingReference(kind, code, [name for of, name in self.names if of == kind])
        at = known[kind, code]
        mean = float(self.settings.weights @ self.means[:, at])
        square = float(self.settings.weights @ (self.covariances([at])[:, 0, 0] + self.means[:, at] ** 2))
        return mean, math.sqrt(max(square - mean * mean, 0.0))

    def pace(self, code: str) -> PaceBelief:
        """The shop's own pace of one operation.

        Raises:
            MissingReference: not in the book.
        """
        return self.paces_of([code])[0]

    def paces_of(self, codes: Sequence[str]) -> tuple[PaceBelief, ...]:
        """The shop's own pace of some operations, in their order.

        Raises:
            MissingReference: not in the book.
        """
        return self._beliefs([self._entry(code) for code in codes])

    def logs_of(self, code: str) -> tuple[int, int]:
        """How many log lines an operation has of its own, and within its stage; without working out its pace."""
        count = self.counts.get(code, _Count())
        return count.logs, count.stage_logs

    def paces(self) -> tuple[PaceBelief, ...]:
        """The shop's own pace of every operation of the book, in its order."""
        return self._beliefs(list(self.book.values()))

    def draw(self, tasks: Sequence[Task], n: int = 10_000, seed: int = 0, *, project: str | None = None) -> Draws:
        """Draw a project: all effects jointly, one project effect for all its tasks, one entry error a task.

        Args:
            tasks: each operation once.
            n: draws, ≥ 1. The settings of the standard deviations share them in proportion to their weights.
            seed: of the draws.
            project: one of the projects kept by `fit`, whose own effect is then used; None for a new one.

        Raises:
            MissingReference: an operation not in the book, or a project not kept.
            BadInput: no draws, or an operation twice.
        """
        if len({task.code for task in tasks}) < len(tasks):
            raise BadInput("tasks", [task.code for task in tasks], "each operation once; add up its minutes")
        rng = np.random.default_rng(seed)
        found = self.courses([task.code for task in tasks], n, rng, project=project)
        baseline = np.array([task.baseline_minutes for task in tasks])
        scatter = found.entry_sd[:, None] * np.sqrt(1.0 + self.priors.small_task_minutes / baseline)
        logs = found.log_ratio + scatter * rng.standard_normal((n, len(tasks)))
        return Draws(baseline * np.exp(rng.permutation(logs)))

    def courses(
        self,
        codes: Sequence[str],
        n: int,
        rng: np.random.Generator,
        *,
        project: str | None = None,
        with_project: bool = True,
    ) -> Courses:
        """Draw how a project goes, all effects jointly, without the scatter of its entries; setting after setting.

        Args:
            codes: operations of the book.
            n: draws, ≥ 1.
            rng: the dice.
            project: one of the projects kept by `fit`; None for a new one.
            with_project: with the luck of a project; without it, only what is not known of the shop's own paces.

        Raises:
            MissingReference: an operation not in the book, or a project not kept.
            BadInput: no draws.
        """
        if n < 1:
            raise BadInput("draws", n, "1 or more")
        names, mix = self._mix([self._entry(code) for code in codes], project, with_project=with_project)
        counts = self._share_out(n)
        effects = self._draw_effects(names, counts, rng)
        return Courses(effects @ mix.T, np.repeat(self.settings.sds[:, ENTRY], counts))

    def _entry(self, code: str) -> BookPace:
        if code not in self.book:
            raise MissingReference("operation", code, list(self.book))
        return self.book[code]

    def _spread(self, index: int) -> Belief:
        values = self.settings.sds[:, index]
        order = np.argsort(values, kind="stable")
        weights = self.settings.weights[order]
        middle = np.cumsum(weights) - 0.5 * weights
        return Belief(*(float(value) for value in np.interp(_SHARES, middle, values[order])))

    def _beliefs(self, entries: Sequence[BookPace]) -> tuple[PaceBelief, ...]:
        if not entries:
            return ()
        mean, variance = self._ratios(entries)
        weights = self.settings.weights
        low, half, high = (np.exp(mixture_quantile(weights, mean, np.sqrt(variance), share)) for share in _SHARES)
        return tuple(
            _belief(entry, self.counts.get(entry.code, _Count()), Spread(float(a), float(b), float(c)))
            for entry, a, b, c in zip(entries, low, half, high, strict=True)
        )

    def _ratios(self, entries: Sequence[BookPace]) -> tuple[Floats, Floats]:
        """Mean and variance of ln(ratio) at each setting, shapes (n, entries)."""
        names, mix = self._mix(entries, None, with_project=False)
        known = [self.names.index(name) for name in names if name in self.names]
        held = np.array([name in self.names for name in names])
        loads = mix[:, held]
        mean = self.means[:, known] @ loads.T
        inner = self.covariances(known)
        variance = np.einsum("kl,nkl->nk", loads, np.matmul(loads, inner))
        for column in np.flatnonzero(~held).tolist():
            variance += np.outer(self._prior_sds(names[column]) ** 2, mix[:, column] ** 2)
        return mean, np.maximum(variance, 0.0)

    def _mix(
        self, entries: Sequence[BookPace], project: str | None, *, with_project: bool = True
    ) -> tuple[list[Name], Floats]:
        """The effects some operations need, and which of them each adds up: shape (entries, effects)."""
        own: Name = ("project", project or "")
        if project is not None and own not in self.names:
            raise MissingReference("kept project", project, [name for kind, name in self.names if kind == "project"])
        names = [SHOP, *([own] if with_project else [])]
        names += sorted({("stage", entry.stage) for entry in entries})
        names += sorted({("operation", entry.code) for entry in entries})
        at = {name: index for index, name in enumerate(names)}
        mix = np.zeros((len(entries), len(names)))
        mix[:, : 2 if with_project else 1] = 1.0
        for row, entry in enumerate(entries):
            mix[row, [at["stage", entry.stage], at["operation", entry.code]]] = 1.0
        return names, mix

    def _prior_sds(self, name: Name) -> Floats:
        """The standard deviation, at each setting, of an effect nothing is known of."""
        column = {"stage": STAGE, "operation": OPERATION, "project": PROJECT}[name[0]]
        return self.settings.sds[:, column]

    def _share_out(self, n: int) -> NDArray[np.intp]:
        """How many of n draws each setting gets, shape (settings,)."""
        upto = np.cumsum(self.settings.weights)
        at = np.searchsorted(upto / upto[-1], (np.arange(n) + 0.5) / n)
        return np.bincount(at, minlength=len(upto))

    def _draw_effects(self, names: Sequence[Name], counts: NDArray[np.intp], rng: np.random.Generator) -> Floats:
        """Joint draws of some effects, setting after setting, shape (sum of counts, effects)."""
        known = [self.names.index(name) for name in names if name in self.names]
        held = np.array([name in self.names for name in names])
        out = rng.standard_normal((int(counts.sum()), len(names)))
        roots = _roots(self.covariances(known))
        ends = np.cumsum(counts)
        for setting in np.flatnonzero(counts).tolist():
            drawn = slice(ends[setting] - counts[setting], ends[setting])
            out[drawn, held] = self.means[setting, known] + out[drawn, held] @ roots[setting].T
        for column in np.flatnonzero(~held).tolist():
            out[:, column] *= np.repeat(self._prior_sds(names[column]), counts)
        return out


def _roots(covariances: Floats) -> Floats:
    """Square roots of covariance matrices, shape (n, m, m); a matrix short of full rank by rounding is no trouble."""
    tiny = 1e-12 * np.eye(covariances.shape[-1])
    try:
        return np.asarray(np.linalg.cholesky(covariances + tiny))
    except np.linalg.LinAlgError:
        values, vectors = np.linalg.eigh(covariances)
        return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0))[:, None, :])


def fit(
    rows: Sequence[Row],
    book: Book,
    *,
    today: date,
    priors: Priors = DEFAULT,
    integrator: Integrator = integrate.DEFAULT,
    keep: Collection[str] = (),
    levels: bool = False,
) -> Calibration:
    """Learn from the rows.

    Args:
        rows: the evidence, in any order; may be empty (the answer is then the prior).
        book: the operations one may ask about.
        today: the day the answer is for; the drift runs up to it.
        priors: what is believed before.
        integrator: `integrate.Sampled(...)`, or `integrate.Grid(...)` for one or two free standard deviations.
        keep: projects, still running, whose own effect the answer shall hold.
        levels: whether it shall hold the shop's level in every half-year with a log too (`journal.pace.level`).

    The cost is one table product over the rows, then some 400 evaluations of projects × (stages + operations)².
    """
    laid = design.build(rows, today, priors, keep, levels=levels)
    found = integrator(laid.absorbed, priors)
    means, triangles = algebra.combinations(found.solved, laid.read)
    return Calibration(
        book=book,
        priors=priors,
        today=today,
        rows=len(rows),
        projects=len({row.project for row in rows}),
        settings=found.settings,
        names=laid.names,
        means=means + laid.offset,
        triangles=triangles,
        counts=MappingProxyType(_count(rows)),
    )


def _count(rows: Sequence[Row]) -> dict[str, _Count]:
    own: defaultdict[str, int] = defaultdict(int)
    staged: defaultdict[str, int] = defaultdict(int)
    newest: dict[str, date] = {}
    for row in sorted(rows, key=_day):
        tally = staged if row.by_stage else own
        for code, _ in row.shares:
            tally[code] += row.logs
            newest[code] = row.on
    return {code: _Count(own[code], staged[code], last) for code, last in newest.items()}


def _belief(entry: BookPace, count: _Count, ratio: Spread) -> PaceBelief:
    return PaceBelief(
        entry.code,
        entry.stage,
        count.logs,
        count.stage_logs,
        count.newest,
        ratio,
        _times(entry.pace_minutes, ratio),
        _times(entry.setup_minutes, ratio),
    )


def _times(minutes: float, ratio: Spread) -> Spread:
    return Spread(minutes * ratio.p10, minutes * ratio.p50, minutes * ratio.p90)
