"""Earned value: what a job under way has come to, and will come to, from what is done, what it cost and what was planned.

The classical indices and forecasts. They know nothing of how sure anything is; beside the forecast of the paces they are a
second opinion that any planner can check by hand. A figure that cannot be known yet is None, never a division by zero.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from journal.errors import BadInput


@dataclass(frozen=True, slots=True)
class Earned:
    """One moment of a job; all four in the same unit, money or hours.

    Attributes:
        whole: budget of all the work (BAC).
        done: budget of the work that is done (EV).
        spent: what that cost (AC).
        planned: budget of what should be done by now (PV); None when nobody planned by the day.
    """

    whole: float
    done: float
    spent: float
    planned: float | None = None

    def __post_init__(self) -> None:
        for field in ("whole", "done", "spent", "planned"):
            value = getattr(self, field)
            if value is not None and not (math.isfinite(value) and value >= 0):
                raise BadInput(field, value, "a finite number, 0 or more")
        if self.done > self.whole:
            raise BadInput("done", self.done, f"at most the whole, {self.whole:g}")

    @property
    def cost_index(self) -> float | None:
        """Done for each unit spent (CPI); under one costs more than planned."""
        return self.done / self.spent if self.done and self.spent else None

    @property
    def day_index(self) -> float | None:
        """Done for each unit that should be (SPI); under one is late."""
        return self.done / self.planned if self.planned else None

    @property
    def at_this_rate(self) -> float | None:
        """What all of it comes to if the rest goes as it went so far (EAC = BAC ÷ CPI)."""
        index = self.cost_index
        return None if index is None else self.spent + (self.whole - self.done) / index

    @property
    def as_planned_from_here(self) -> float:
        """What all of it comes to if the rest goes as planned (EAC = AC + BAC − EV)."""
        return self.spent + self.whole - self.done

    @property
    def late_and_dear(self) -> float | None:
        """What all of it comes to if being late costs too (EAC = AC + (BAC − EV) ÷ (CPI × SPI))."""
        if not self.cost_index or not self.day_index:
            return None
        return self.spent + (self.whole - self.done) / (self.cost_index * self.day_index)

    @property
    def to_come(self) -> float | None:
        """Still to be spent, at this rate (ETC)."""
        return None if self.at_this_rate is None else self.at_this_rate - self.spent

    @property
    def left_over(self) -> float | None:
        """Budget left in the end, at this rate; below zero overrun (VAC)."""
        return None if self.at_this_rate is None else self.whole - self.at_this_rate

    @property
    def needed_index(self) -> float | None:
        """How much must be done for each unit from here on to keep the budget (TCPI); None when none is left."""
        left = self.whole - self.spent
        return (self.whole - self.done) / left if left > 0 else None
