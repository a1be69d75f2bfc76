"""What is believed before any log: about the shop's level against the book, and about each standard deviation.

A standard deviation is reached through a standard normal z: sd = F⁻¹(Φ(z)), F its prior's distribution. In z every prior
is N(0, 1), so with no log the answer is the prior exactly, a deviation of zero is only a tail, and the same numerical
integration serves every prior.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist
from typing import Protocol

from journal.errors import BadInput

_UNIT = NormalDist()
_LINEAR_BELOW = -5.0  # where F(sd) ≈ sd × density at zero, exact to 1e-13


def _below(z: float) -> float:
    """Share of N(0, 1) below z, with all its digits however small (the library's own rounds to 0 below −8.3)."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def _check(value: float, field: str, *, zero: bool) -> None:
    if not math.isfinite(value) or value < 0 or (value == 0 and not zero):
        raise BadInput(field, value, "a finite number, zero or more" if zero else "a finite number above zero")


class SdPrior(Protocol):
    """A prior on one standard deviation."""

    @property
    def free(self) -> bool:
        """Whether there is anything to integrate."""
        ...

    def sd_at(self, z: float) -> float:
        """The standard deviation with as much of the prior below it as N(0, 1) has below z."""
        ...

    def log_slope(self, z: float) -> float:
        """D ln(sd) / dz at z."""
        ...


@dataclass(frozen=True, slots=True)
class HalfNormal:
    """sd − least is the size of a N(0, scale²).

    Args:
        scale: > 0; the prior median is least + 0.67 × scale.
        least: ≥ 0; a floor, for a scatter that cannot vanish (minutes are logged in round figures).
    """

    scale: float
    least: float = 0.0

    def __post_init__(self) -> None:
        _check(self.scale, "scale", zero=False)
        _check(self.least, "least", zero=True)

    @property
    def free(self) -> bool:
        return True

    def sd_at(self, z: float) -> float:
        return self.least + self._above(z)

    def log_slope(self, z: float) -> float:
        above = self._above(z)
        density = 2.0 * _UNIT.pdf(above / self.scale) / self.scale
        return _UNIT.pdf(z) / (density * (self.least + above))

    def _above(self, z: float) -> float:
        if z < _LINEAR_BELOW:
            return self.scale * math.sqrt(math.pi / 2.0) * _below(z)
        return -self.scale * _UNIT.inv_cdf(0.5 * _below(-z))


@dataclass(frozen=True, slots=True)
class HalfCauchy:
    """Density 2 / (π scale (1 + (sd / scale)²)); a long tail.

    Args:
        scale: > 0, the prior median.
    """

    scale: float

    def __post_init__(self) -> None:
        _check(self.scale, "scale", zero=False)

    @property
    def free(self) -> bool:
        return True

    def sd_at(self, z: float) -> float:
        if z > 0.0:
            return self.scale / math.tan(0.5 * math.pi * _below(-z))
        return self.scale * math.tan(0.5 * math.pi * _below(z))

    def log_slope(self, z: float) -> float:
        ratio = self.sd_at(z) / self.scale
        return _UNIT.pdf(z) * 0.5 * math.pi * (1.0 / ratio + ratio)


@dataclass(frozen=True, slots=True)
class Flat:
    """Any sd from 0 to upper alike.

    Args:
        upper: > 0; choose it far above anything possible.
    """

    upper: float

    def __post_init__(self) -> None:
        _check(self.upper, "upper", zero=False)

    @property
    def free(self) -> bool:
        return True

    def sd_at(self, z: float) -> float:
        return self.upper * _below(z)

    def log_slope(self, z: float) -> float:
        return _UNIT.pdf(z) / _below(z)


@dataclass(frozen=True, slots=True)
class Fixed:
    """Known: not integrated.

    Args:
        value: ≥ 0.
    """

    value: float

    def __post_init__(self) -> None:
        _check(self.value, "value", zero=True)

    @property
    def free(self) -> bool:
        return False

    def sd_at(self, z: float) -> float:  # noqa: ARG002 - the same for every z
        return self.value

    def log_slope(self, z: float) -> float:  # noqa: ARG002 - the same for every z
        return 0.0


@dataclass(frozen=True, slots=True)
class Level:
    """Prior N(mean, sd²) of the level μ, in ln(minutes / book minutes).

    Args:
        mean: finite.
        sd: 0 holds the level at the mean; infinity says nothing about it.
    """

    mean: float = 0.0
    sd: float = 0.5

    def __post_init__(self) -> None:
        if not math.isfinite(self.mean):
            raise BadInput("level mean", self.mean, "a finite number")
        if math.isnan(self.sd) or self.sd < 0:
            raise BadInput("level sd", self.sd, "zero, a positive number or infinity")


@dataclass(frozen=True, slots=True)
class Priors:
    """The priors of one calibration; all in units of ln(minutes / book minutes).

    Starting assumptions, checked by simulating shops from them: with no log, eight projects in ten then take between
    about half and twice the book.

    Args:
        level: μ, this shop against the book.
        drift: step from one half-year to the next.
        stage: a stage against the shop.
        operation: an operation against its stage.
        project: a project against the others.
        entry: the rest, of a large task. Never under 2%: minutes are logged in round figures.
        small_task_minutes: m₀ ≥ 0; an entry's variance is entry² × (Σ share² + m₀ / baseline minutes), Σ share² = 1 for
            an operation logged alone.
    """

    level: Level = Level()
    drift: SdPrior = HalfNormal(0.08)
    stage: SdPrior = HalfNormal(0.25)
    operation: SdPrior = HalfNormal(0.3)
    project: SdPrior = HalfNormal(0.2)
    entry: SdPrior = HalfNormal(0.35, least=0.02)
    small_task_minutes: float = 20.0

    def __post_init__(self) -> None:
        _check(self.small_task_minutes, "small task minutes", zero=True)
        if isinstance(self.entry, Fixed) and self.entry.value == 0:
            raise BadInput("entry", 0, "a standard deviation above zero; no log is exact")

    @property
    def sds(self) -> tuple[SdPrior, SdPrior, SdPrior, SdPrior, SdPrior]:
        """The five priors in the order drift, stage, operation, project, entry."""
        return (self.drift, self.stage, self.operation, self.project, self.entry)


DEFAULT = Priors()
