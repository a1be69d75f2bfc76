"""Where a project in build will end up: what is done is fixed, the rest is drawn given how this project has gone so far.

A piece of work that is open has taken some minutes already: its total T is drawn given T > logged. Draws of the project
in which that is likely count for more (importance weights), so an operation that runs over tells on all the others.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from journal.errors import BadInput
from journal.pace import integrate
from journal.pace.model import Row, fit
from journal.pace.normal import beyond, log_above
from journal.working import Spread

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from numpy.typing import NDArray

    from journal.pace.model import Book, Courses, Integrator, PaceBelief
    from journal.pace.normal import Floats

_DRAWS = 8_000
_SEED = 0
_SHARES = (0.1, 0.5, 0.9)


class State(StrEnum):
    """How far a piece of work is."""

    DONE = "done"
    OPEN = "open"
    TO_COME = "to come"


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of work of the project: an operation, or the operations of a stage logged as one.

    Args:
        name: code of the operation or of the stage.
        stage: the stage.
        shares: (operation, share of the baseline), summing to 1.
        baseline_minutes: by the book, > 0.
        state: how far it is.
        logged_minutes: so far; above zero when open or done, zero when to come.
        on: the last day it was logged; needed when it is done.
    """

    name: str
    stage: str
    shares: tuple[tuple[str, float], ...]
    baseline_minutes: float
    state: State = State.TO_COME
    logged_minutes: float = 0.0
    on: date | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.baseline_minutes) and self.baseline_minutes > 0):
            raise BadInput(f"{self.name} baseline minutes", self.baseline_minutes, "a finite number above zero")
        if not (math.isfinite(self.logged_minutes) and self.logged_minutes >= 0):
            raise BadInput(f"{self.name} logged minutes", self.logged_minutes, "a finite number, zero or more")
        if (self.logged_minutes > 0) is (self.state is State.TO_COME):
            raise BadInput(f"{self.name} logged minutes", self.logged_minutes, f"minutes that fit “{self.state}”")
        if self.state is State.DONE and self.on is None:
            raise BadInput(f"{self.name} day", None, "the last day it was logged")

    def as_row(self, project: str) -> Row:
        """A done piece as evidence of its project."""
        if self.on is None:
            raise BadInput(f"{self.name} day", None, "the last day it was logged")
        by_stage = self.name == self.stage
        return Row(
            project,
            self.on,
            self.stage,
            self.shares,
            self.baseline_minutes,
            self.logged_minutes,
            by_stage=by_stage,
        )


@dataclass(frozen=True, slots=True)
class PieceForecast:
    """What a piece of work will have taken.

    Attributes:
        piece: which, and how far.
        minutes: in the end; all alike when it is done.
        left: still to come.
        share: part of the variance of the project's total that it brings; the largest is what to watch.
    """

    piece: Piece
    minutes: Spread
    left: Spread
    share: float


@dataclass(frozen=True, slots=True)
class Ending:
    """Where the project will end up.

    It may be kept for long, so it holds no calibration: that of ten years is a hundred times as large as all the rest.

    Attributes:
        project, today: which, and as of when.
        pieces: in the order given.
        spent_minutes: logged so far.
        minutes: in the end.
        left: still to come.
        so_far: this project against what was expected, as a share above (+) or below (−); None while nothing is done.
        draws: equally likely totals, shape (n,).
        left_draws: equally likely minutes still to come, shape (n,).
        beliefs: the shop's own pace of every operation of the book, this project's done work counted in.
        book: the operations known.
    """

    project: str
    today: date
    pieces: tuple[PieceForecast, ...]
    spent_minutes: float
    minutes: Spread
    left: Spread
    so_far: float | None
    draws: Floats
    left_draws: Floats
    beliefs: tuple[PaceBelief, ...] = field(repr=False)
    book: Book = field(repr=False)

    @property
    def by_doubt(self) -> tuple[PieceForecast, ...]:
        """The pieces, those that leave most in doubt first."""
        return tuple(sorted(self.pieces, key=lambda one: one.share, reverse=True))


def forecast(
    past: Sequence[Row],
    project: str,
    pieces: Sequence[Piece],
    book: Book,
    *,
    today: date,
    draws: int = _DRAWS,
    integrator: Integrator = integrate.DEFAULT,
) -> Ending:
    """Where a project will end up.

    Args:
        past: evidence of other projects; rows of this one are refused.
        project: its code.
        pieces: all its work, each operation in one piece.
        book: the operations known.
        today: the day the answer is for.
        draws: how many, ≥ 1; always the same ones.
        integrator: of the calibration.

    Raises:
        BadInput: no work, an operation in two pieces, or evidence of this project among the past.
        MissingReference: an operation that is not in the book.
    """
    _check(past, project, pieces)
    rows = [piece.as_row(project) for piece in pieces if piece.state is State.DONE]
    found = fit([*past, *rows], book, today=today, keep=(project,) if rows else (), integrator=integrator)
    rng = np.random.default_rng(_SEED)
    codes = [code for piece in pieces for code, _ in piece.shares]
    courses = found.courses(codes, draws, rng, project=project if rows else None)
    minutes = _draw_pieces(pieces, courses, found.priors.small_task_minutes, rng)
    total = minutes.sum(axis=1)
    logged = np.array([piece.logged_minutes for piece in pieces])
    shares = _doubt(minutes, total)
    return Ending(
        project=project,
        today=today,
        pieces=tuple(
            PieceForecast(piece, _spread(column), _spread(column - piece.logged_minutes), share)
            for piece, column, share in zip(pieces, minutes.T, shares, strict=True)
        ),
        spent_minutes=float(logged.sum()),
        minutes=_spread(total),
        left=_spread(total - logged.sum()),
        so_far=math.exp(found.effect("project", project)[0]) - 1.0 if rows else None,
        draws=total,
        left_draws=np.asarray(total - logged.sum()),
        beliefs=found.paces(),
        book=book,
    )


def _check(past: Sequence[Row], project: str, pieces: Sequence[Piece]) -> None:
    if not pieces:
        raise BadInput("work", "", "a plan with at least one operation")
    codes = [code for piece in pieces for code, _ in piece.shares]
    if len(set(codes)) < len(codes):
        twice = sorted({code for code in codes if codes.count(code) > 1})
        raise BadInput("work", ", ".join(twice), "each operation in one piece of work")
    if any(row.project == project for row in past):
        raise BadInput("past", project, "evidence of other projects only")


def _draw_pieces(pieces: Sequence[Piece], courses: Courses, small_minutes: float, rng: np.random.Generator) -> Floats:
    """Equally likely minutes of every piece, shape (n, pieces)."""
    n = len(courses.entry_sd)
    minutes = np.empty((n, len(pieces)))
    log_weight = np.zeros(n)
    at = 0
    for column, piece in enumerate(pieces):
        shares = np.array([share for _, share in piece.shares])
        middle = math.log(piece.baseline_minutes) + courses.log_ratio[:, at : at + len(shares)] @ shares
        at += len(shares)
        if piece.state is State.DONE:
            minutes[:, column] = piece.logged_minutes
            continue
        sd = courses.entry_sd * math.sqrt(float(shares @ shares) + small_minutes / piece.baseline_minutes)
        if piece.state is State.TO_COME:
            minutes[:, column] = np.exp(middle + sd * rng.standard_normal(n))
            continue
        reached = (math.log(piece.logged_minutes) - middle) / sd
        log_weight += log_above(reached)
        minutes[:, column] = np.exp(middle + sd * beyond(reached, 1.0 - rng.random(n)))
        np.maximum(minutes[:, column], piece.logged_minutes, out=minutes[:, column])
    return minutes[_resample(log_weight, rng)]


def _resample(log_weight: Floats, rng: np.random.Generator) -> NDArray[np.intp]:
    """As many draws as there were, each as often as its weight says."""
    n = len(log_weight)
    upto = np.cumsum(np.exp(log_weight - log_weight.max()))
    at = np.searchsorted(upto / upto[-1], (np.arange(n) + rng.random()) / n)
    return rng.permutation(np.minimum(at, n - 1))


def _doubt(minutes: Floats, total: Floats) -> list[float]:
    """Share of the variance of the total that each piece brings; zeros when nothing varies."""
    variance = float(total.var())
    if variance <= 0:
        return [0.0] * minutes.shape[1]
    apart = minutes - minutes.mean(axis=0)
    return [float(value) for value in apart.T @ (total - total.mean()) / (len(total) * variance)]


def _spread(draws: Floats) -> Spread:
    return Spread(*(float(value) for value in np.quantile(draws, _SHARES)))
