"""When a search has to stop: after its seconds, or when it is told to."""

from __future__ import annotations

from time import monotonic
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from journal.cutting.problem import Ended

FAR = 1e6


class Clock:
    """Seconds since the search began, and whether it is over."""

    def __init__(self, seconds: float | None, stop: Callable[[], bool] | None = None) -> None:
        self.began = monotonic()
        self.ends = None if seconds is None else self.began + seconds
        self._stop = stop
        self.stopped = False

    def spent(self) -> float:
        return monotonic() - self.began

    def left(self) -> float:
        """Seconds left, a million without a limit."""
        return FAR if self.ends is None else max(0.0, self.ends - monotonic())

    def over(self) -> bool:
        if self._stop is not None and not self.stopped:
            self.stopped = self._stop()
        return self.stopped or self.left() <= 0

    def reason(self) -> Ended:
        """Why it is over; `work` when it is not."""
        if self.stopped:
            return "stopped"
        return "time" if self.left() <= 0 else "work"
