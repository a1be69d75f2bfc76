"""Hours as quoted against hours as logged, piece by piece, and which of them fell outside what was to be expected.

A piece is an operation with time of its own, or a stage logged as a whole with those of its operations that have none. The
lines add up to the whole difference. A piece inside its range (eight times in ten) is noise; one outside is worth a look.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

_EIGHTY = 1.2815515655446004  # standard normal quantile at 0.9: half the width of eight times in ten, in SDs
INSIDE = 0.8  # share of pieces that should fall inside


@dataclass(frozen=True, slots=True)
class Quoted:
    """An operation as quoted: its mean minutes, and between which it falls eight times in ten (None: nobody said)."""

    code: str
    stage: str
    minutes: float
    low: float | None = None
    high: float | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.minutes) and self.minutes >= 0):
            raise BadInput(f"minutes of {self.code}", self.minutes, "a finite number, 0 or more")
        if self.low is not None and self.high is not None and not self.low <= self.high:
            raise BadInput(f"range of {self.code}", f"{self.low:g} to {self.high:g}", "from the lower to the higher")


@dataclass(frozen=True, slots=True)
class Piece:
    """One line.

    Attributes:
        name: code of the operation, or of the stage logged as a whole.
        stage: of it.
        inside: the operations it stands for.
        quoted_minutes: means; low, high: eight times in ten between; None where nothing was expected.
        minutes: logged, work done again left out.
    """

    name: str
    stage: str
    inside: tuple[str, ...]
    quoted_minutes: float
    low: float | None
    high: float | None
    minutes: float

    @property
    def more_minutes(self) -> float:
        """Than quoted; below zero fewer."""
        return self.minutes - self.quoted_minutes

    @property
    def judged(self) -> bool:
        """Whether there is a range and time to hold against it."""
        return self.low is not None and self.high is not None and self.minutes > 0

    @property
    def surprise(self) -> bool:
        """Whether it fell outside its range."""
        return self.judged and not (self.low or 0.0) <= self.minutes <= (self.high or 0.0)

    @property
    def unlogged(self) -> bool:
        """Whether it was quoted and nothing was logged on it."""
        return self.minutes == 0 and self.quoted_minutes > 0


@dataclass(frozen=True, slots=True)
class Hours:
    """The work of a job, surprises first, the costliest of them foremost.

    Attributes:
        pieces: what was quoted or logged.
        allowance_minutes: quoted for what nobody plans; beside_minutes: logged without having been quoted.
    """

    pieces: tuple[Piece, ...]
    allowance_minutes: float

    @property
    def beside_minutes(self) -> float:
        """Logged without having been quoted."""
        return sum(piece.minutes for piece in self.pieces if not piece.quoted_minutes)

    @property
    def judged(self) -> int:
        """Pieces with a range to hold against."""
        return sum(piece.judged for piece in self.pieces)

    @property
    def surprises(self) -> int:
        """Pieces outside theirs."""
        return sum(piece.surprise for piece in self.pieces)

    @property
    def quoted_minutes(self) -> float:
        """All of it, the allowance included."""
        return sum(piece.quoted_minutes for piece in self.pieces) + self.allowance_minutes

    @property
    def minutes(self) -> float:
        """All that was logged."""
        return sum(piece.minutes for piece in self.pieces)

    def by_stage(self) -> dict[str, tuple[float, float]]:
        """Minutes quoted and logged by stage, the allowance left out."""
        found: dict[str, tuple[float, float]] = {}
        for piece in self.pieces:
            quoted, logged = found.get(piece.stage, (0.0, 0.0))
            found[piece.stage] = quoted + piece.quoted_minutes, logged + piece.minutes
        return found


def compare(
    quoted: Sequence[Quoted],
    logged: Mapping[str, float],
    stage_of: Mapping[str, str],
    *,
    allowance_minutes: float = 0.0,
    total: tuple[float, float] | None = None,
) -> Hours:
    """Hours as quoted against hours as logged.

    Args:
        quoted: the operations of the quote, each once; the allowance for rework left out.
        logged: minutes by operation or stage; what was done again left out.
        stage_of: operation → its stage, for what was logged without having been quoted.
        allowance_minutes: quoted for what nobody plans.
        total: between which all hours together fall eight times in ten, minutes; tells how much the operations move
            together. None: as if each went its own way.
    """
    known = {one.code: one for one in quoted}
    if len(known) != len(quoted):
        raise BadInput("operations", sorted(one.code for one in quoted), "each of them once")
    shared = _shared([one for one in quoted if one.high is not None], total)
    alone = [
        _piece(one.code, one.stage, (one,), logged.get(one.code, 0.0), shared)
        for one in quoted
        if not _within(one, logged)
    ]
    stages = {one.stage for one in quoted if _within(one, logged)}
    whole = [
        _piece(
            stage,
            stage,
            tuple(one for one in quoted if one.stage == stage and _within(one, logged)),
            logged[stage],
            shared,
        )
        for stage in sorted(stages)
    ]
    spoken = set(known) | stages
    beside = [
        Piece(name, stage_of.get(name, name), (), 0.0, None, None, minutes)
        for name, minutes in logged.items()
        if name not in spoken and minutes
    ]
    pieces = sorted((*alone, *whole, *beside), key=lambda one: (not one.surprise, -abs(one.more_minutes), one.name))
    return Hours(tuple(pieces), allowance_minutes)


def place(quantiles: Sequence[float], value: float) -> float:
    """Share of a distribution at or below a value; `quantiles` at evenly spaced chances from 0 to 1, rising.

    Raises:
        BadInput: fewer than two quantiles.
    """
    if len(quantiles) < 2:
        raise BadInput("quantiles", len(quantiles), "two or more")
    if value >= quantiles[-1]:
        return 1.0
    if value < quantiles[0]:
        return 0.0
    return float(np.interp(value, quantiles, np.linspace(0.0, 1.0, len(quantiles))))


def _within(one: Quoted, logged: Mapping[str, float]) -> bool:
    """Whether an operation's time is in that of its stage."""
    return not logged.get(one.code) and logged.get(one.stage, 0.0) > 0


def _piece(name: str, stage: str, inside: Sequence[Quoted], minutes: float, shared: float) -> Piece:
    low, high = _range(inside, shared)
    return Piece(name, stage, tuple(one.code for one in inside), sum(one.minutes for one in inside), low, high, minutes)


def _range(inside: Sequence[Quoted], shared: float) -> tuple[float | None, float | None]:
    """Of one operation as quoted; of several that of a lognormal sum whose parts share so much of their scatter."""
    if any(one.low is None or one.high is None for one in inside):
        return None, None
    if len(inside) == 1:
        return inside[0].low, inside[0].high
    mean, sd = sum(one.minutes for one in inside), _sd(inside, shared)
    if not mean:
        return None, None
    spread = math.sqrt(math.log1p((sd / mean) ** 2))
    middle = mean * math.exp(-(spread**2) / 2)
    return middle * math.exp(-_EIGHTY * spread), middle * math.exp(_EIGHTY * spread)


def _sds(inside: Sequence[Quoted]) -> list[float]:
    return [((one.high or 0.0) - (one.low or 0.0)) / (2 * _EIGHTY) for one in inside]


def _sd(inside: Sequence[Quoted], shared: float) -> float:
    sds = _sds(inside)
    return math.sqrt((1 - shared) * sum(sd * sd for sd in sds) + shared * sum(sds) ** 2)


def _shared(quoted: Sequence[Quoted], total: tuple[float, float] | None) -> float:
    """The correlation of any two operations, one for all, that gives their sum the width it was quoted with.

    var(sum) = (1 − ρ) Σ sd² + ρ (Σ sd)², solved for ρ and kept within 0 to 1.
    """
    if total is None or len(quoted) < 2:
        return 0.0
    sds = _sds(quoted)
    apart, together = sum(sd * sd for sd in sds), sum(sds) ** 2
    variance = ((total[1] - total[0]) / (2 * _EIGHTY)) ** 2
    return min(max((variance - apart) / (together - apart), 0.0), 1.0) if together > apart else 0.0
