"""How much of something is taken when, and from when on is enough of it free?"""

from __future__ import annotations

from bisect import bisect_left, bisect_right


class Profile:
    """What is taken of a thing there is so much of, as steps over time. Times are whole, from 0 or any sign."""

    __slots__ = ("capacity", "since", "taken")

    def __init__(self, capacity: int) -> None:
        self.capacity = capacity
        self.since: list[int] = [-(2**62)]  # each level holds from its time to the next
        self.taken: list[int] = [0]

    def free_from(self, start: int, length: int, amount: int) -> int:
        """The earliest time not before `start` from which so much is free for so long; amount ≤ capacity."""
        room = self.capacity - amount
        since, taken = self.since, self.taken
        last = len(since)
        at = bisect_right(since, start) - 1
        while True:
            until = start + length
            while taken[at] <= room:
                at += 1
                if at == last or since[at] >= until:
                    return start
            while taken[at] > room:
                at += 1  # the last level is always nothing
            start = since[at]

    def take(self, start: int, end: int, amount: int) -> None:
        """Take so much from `start` to `end`."""
        if amount == 0 or end <= start:
            return
        first, after = self._cut(start), self._cut(end)
        for at in range(first, after):
            self.taken[at] += amount

    def _cut(self, time: int) -> int:
        """The place of the level that begins at a time, made if there is none."""
        at = bisect_left(self.since, time)
        if at == len(self.since) or self.since[at] != time:
            self.since.insert(at, time)
            self.taken.insert(at, self.taken[at - 1])
        return at
