"""What the wood on the rack cost, and what wood taken from it cost: by first in, first out, or on average.

Cost runs through the rack by volume, for each stock by itself, whichever boards are taken off by hand. Everything that
came in equals everything that went out and what is left, to the cent, either way; so a shop may change its mind, and all
of it is worked out again.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING

from journal import units
from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable


class Method(StrEnum):
    """Whose cost goes out first."""

    AVERAGE = "average"
    FIRST_IN = "first in"


@dataclass(frozen=True, slots=True)
class Flow:
    """Wood coming onto the rack for so many cents, or going off it (`cents` None); volume in nm³."""

    volume_nm3: int
    cents: int | None = None

    def __post_init__(self) -> None:
        if self.volume_nm3 <= 0:
            raise BadInput("volume", self.volume_nm3, "a volume over 0")
        if self.cents is not None and self.cents < 0:
            raise BadInput("cost", self.cents, "an amount, 0 or more")


@dataclass(frozen=True, slots=True)
class Flowed:
    """`outs` is the cost of each flow off the rack, in order; `left_cents` and `left_nm3` are what is there."""

    outs: tuple[int, ...]
    left_cents: int
    left_nm3: int


def run(flows: Iterable[Flow], method: Method) -> Flowed:
    """The cost of wood that came and went, in order of time.

    Raises:
        BadInput: more goes off than is there.
    """
    layers: list[list[int]] = []  # [volume, cents], oldest first
    outs: list[int] = []
    for flow in flows:
        if flow.cents is None:
            outs.append(_take(layers, flow.volume_nm3))
        elif method is Method.AVERAGE and layers:
            layers[0][0] += flow.volume_nm3
            layers[0][1] += flow.cents
        else:
            layers.append([flow.volume_nm3, flow.cents])
    return Flowed(tuple(outs), sum(cents for _, cents in layers), sum(volume for volume, _ in layers))


def _take(layers: list[list[int]], volume_nm3: int) -> int:
    """Cost of so much from the oldest layers on; the last of a layer takes its last cent."""
    if volume_nm3 > sum(volume for volume, _ in layers):
        raise BadInput("taken from the rack", volume_nm3, "no more than is there")
    cost = 0
    while volume_nm3:
        layer = layers[0]
        taken = min(volume_nm3, layer[0])
        cents = units.round_half_up(Fraction(layer[1] * taken, layer[0]))
        layer[0] -= taken
        layer[1] -= cents
        cost += cents
        volume_nm3 -= taken
        if not layer[0]:
            layers.pop(0)
    return cost
