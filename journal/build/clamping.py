"""How few clampings glue a stack of strips into one piece, and which limit says no to fewer?

Strips are glued into sections, two strips or more, that still go through the planer; sections are joined. A clamping takes several pieces
(strips, or a glued piece and more strips) and makes one of them; it must keep three limits:

    open time      each spread face is closed before its glue skins over
    assembly time  from the first glue to the last clamp
    clamps         enough of them at the shop's spacing

and a section two more: no wider than the planer, no heavier than those who are there can feed. Every count is exact.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from journal import units
from journal.build.clamping_rules import (
    SLACK,
    ClampingRules,
    Stack,
    clamps_along,
    face_minutes,
    limit_minutes,
    most_lines,
)

if TYPE_CHECKING:
    from collections.abc import Callable


class Limit(StrEnum):
    """What stands in the way of fewer clampings, as a maker would say it."""

    TIME = "the glue sets before the last clamp"
    WIDTH = "wider does not go through the planer"
    WEIGHT = "heavier is not fed through the planer by those who are there"


@dataclass(frozen=True, slots=True)
class Clamping:
    """One clamping.

    Attributes:
        section: which section it belongs to, from 0; None when it joins sections.
        pieces: what is glued together in it, the glued piece it adds to counted as one.
        first: whether it starts a section, or the joining.
        lines: glue lines, one fewer than pieces.
        line_width_nm, length_nm: of each line.
        clamps: at the shop's spacing.
        spread_minutes, close_minutes: what they take.
        limit_minutes: what the glue gives for both together.
        binding: why it takes no more pieces; blank when there are none left, or they are shared out evenly.
    """

    section: int | None
    pieces: int
    first: bool
    lines: int
    line_width_nm: int
    length_nm: int
    clamps: int
    spread_minutes: float
    close_minutes: float
    limit_minutes: float
    binding: str = ""

    @property
    def minutes(self) -> float:
        """First spread to last clamp."""
        return self.spread_minutes + self.close_minutes


@dataclass(frozen=True, slots=True)
class Division:
    """How a stack is glued.

    Attributes:
        stack: what.
        sections: strips in each, the largest first.
        clampings: in the order of work: section by section, then the joining.
        planed: whether its sections go through the planer; else they are flattened by hand.
        reasons: why there are so many sections and clampings, one sentence each.
    """

    stack: Stack
    sections: tuple[int, ...]
    clampings: tuple[Clamping, ...]
    planed: bool
    reasons: tuple[str, ...]


def divide(stack_of: Callable[[int], Stack], rules: ClampingRules, *, most_sections: int) -> Division:
    """Glue a stack in the fewest clampings; of those, the fewest that only add to a section; then the fewest sections.

    Among equals the sections are as even as can be.

    Args:
        stack_of: the stack when it is glued in so many sections (each joint between sections takes some wood, so the
            strips may grow with it).
        rules: the limits.
        most_sections: at most so many are tried.

    Raises:
        NoSolution: when no clamping is possible; says what would do.
    """
    found = _fewest(stack_of, rules, most_sections)
    if found is None:
        by_hand = divide(_unplaned(stack_of), rules, most_sections=most_sections)
        return replace(
            by_hand, reasons=(*by_hand.reasons, "flattened by hand: no section of it goes through the planer")
        )
    sections, clampings = found
    stack = stack_of(sections)
    capacity = _Capacity.of(stack, rules)
    sizes = _even(stack.strips, sections, capacity)
    return Division(
        stack=stack,
        sections=sizes,
        clampings=_clampings(stack, sizes, capacity, rules),
        planed=capacity.planed,
        reasons=_reasons(stack_of, rules, most_sections, sections=sections, clampings=clampings),
    )


@dataclass(frozen=True, slots=True)
class _Capacity:
    """Most strips in a section by each limit, most lines in a clamping of strips and in one that joins sections."""

    by_width: int
    by_weight: int
    lines: int
    joins: int
    planed: bool

    @property
    def strips(self) -> int:
        return min(self.by_width, self.by_weight)

    @classmethod
    def of(cls, stack: Stack, rules: ClampingRules) -> _Capacity:
        """The limits of a stack; one that cannot be fed at all is flattened by hand, and then neither width nor weight asks.

        Raises:
            NoSolution: when no clamping of it is possible.
        """
        lines = most_lines(stack.label, stack.line_width_nm, stack.length_nm, rules)
        joins = most_lines(stack.label, stack.joined_width_nm, stack.length_nm, rules)
        by_width = stack.planer_width_nm // stack.strip_thickness_nm
        by_weight = math.floor(rules.feed_kg / stack.strip_kg + SLACK)
        if not stack.planer_width_nm or min(by_width, by_weight) < 2:
            return cls(stack.strips, stack.strips, lines, joins, planed=False)
        return cls(min(by_width, stack.strips), min(by_weight, stack.strips), lines, joins, planed=True)


def _fewest(stack_of: Callable[[int], Stack], rules: ClampingRules, most_sections: int) -> tuple[int, int] | None:
    """(sections, clampings): the fewest clampings, then the fewest of them that only add to a section, then sections."""
    best: tuple[int, int, int] | None = None
    for sections in range(1, max(most_sections, 1) + 1):
        stack = stack_of(sections)
        if 2 * sections > stack.strips:
            break
        capacity = _Capacity.of(stack, rules)
        if sections > 1 and not capacity.planed:
            continue  # what is flattened by hand gains nothing by sections, and loses wood at their joints
        count = fewest_clampings(stack.strips, sections, capacity)
        if count is not None:
            adding = count - sections - math.ceil((sections - 1) / capacity.joins)
            best = min(best or (count, adding, sections), (count, adding, sections))
    return (best[2], best[0]) if best else None


def fewest_clampings(strips: int, sections: int, capacity: _Capacity) -> int | None:
    """Fewest clampings for so many sections of two strips or more; None when their strips do not fit in.

    A section of k strips has k − 1 lines. A clamping that is full takes `lines` of them; what a section has beyond its
    full ones goes into one more. So full clampings come first, as many as all sections have room for; and every section
    takes one at least.
    """
    room = capacity.strips - 1
    lines = strips - sections
    if not sections <= lines <= sections * room:
        return None
    full = sections * (room // capacity.lines)
    if lines <= full * capacity.lines:
        count = math.ceil(lines / capacity.lines)
    else:
        count = full + math.ceil((lines - full * capacity.lines) / (room % capacity.lines))
    return max(count, sections) + math.ceil((sections - 1) / capacity.joins)


def _even(strips: int, sections: int, capacity: _Capacity) -> tuple[int, ...]:
    """Strips in each section, largest first: fewest clampings, then the most even (smallest sum of squares).

    Dynamic programming over the sections and the strips they have used; exact.
    """
    weight = strips * strips * sections + 1
    cost = [0] + [math.ceil((k - 1) / capacity.lines) * weight + k * k for k in range(1, capacity.strips + 1)]
    best: list[dict[int, tuple[int, int]]] = [{0: (0, 0)}]
    for done in range(1, sections + 1):
        layer: dict[int, tuple[int, int]] = {}
        left = sections - done
        for used, (spent, _) in best[-1].items():
            low = max(2, strips - used - left * capacity.strips)
            for k in range(low, min(capacity.strips, strips - used - 2 * left) + 1):
                total = spent + cost[k]
                if used + k not in layer or total < layer[used + k][0]:
                    layer[used + k] = total, k
        best.append(layer)
    sizes = []
    used = strips
    for layer in reversed(best[1:]):
        _, k = layer[used]
        sizes.append(k)
        used -= k
    return tuple(sorted(sizes, reverse=True))


def _clampings(stack: Stack, sizes: tuple[int, ...], capacity: _Capacity, rules: ClampingRules) -> tuple[Clamping, ...]:
    found = []
    for section, size in enumerate(sizes):
        stopped = _stop(size, capacity) if len(sizes) > 1 else ""
        series = _series(stack, size, capacity.lines, stack.line_width_nm, rules, section=section)
        found += [*series[:-1], *(replace(last, binding=stopped) for last in series[-1:])]
    found += _series(stack, len(sizes), capacity.joins, stack.joined_width_nm, rules, section=None)
    return tuple(found)


def _stop(size: int, capacity: _Capacity) -> str:
    """What keeps a section from one more strip; blank when nothing but evenness does."""
    if size == capacity.strips:
        return str(Limit.WIDTH if capacity.by_width <= capacity.by_weight else Limit.WEIGHT)
    return str(Limit.TIME) if (size - 1) % capacity.lines == 0 else ""


def _series(
    stack: Stack, pieces: int, most: int, width_nm: int, rules: ClampingRules, *, section: int | None
) -> list[Clamping]:
    """The clampings that make one piece of so many, as even as can be, the largest first."""
    lines = pieces - 1
    times = math.ceil(lines / most)
    if not times:
        return []
    small, larger = divmod(lines, times)
    face = face_minutes(width_nm, stack.length_nm, rules)
    clamps = clamps_along(stack.length_nm, rules.spacing_nm)
    return [
        Clamping(
            section=section,
            pieces=small + (turn < larger) + 1,
            first=turn == 0,
            lines=small + (turn < larger),
            line_width_nm=width_nm,
            length_nm=stack.length_nm,
            clamps=clamps,
            spread_minutes=(small + (turn < larger)) * face,
            close_minutes=clamps * rules.close_minutes_clamp,
            limit_minutes=limit_minutes(face, rules),
            binding=str(Limit.TIME) if turn < times - 1 else "",
        )
        for turn in range(times)
    ]


_ORDINALS = ("", "one section", "a second section", "a third section", "a fourth section", "a fifth section")


def _reasons(
    stack_of: Callable[[int], Stack],
    rules: ClampingRules,
    most_sections: int,
    *,
    sections: int,
    clampings: int,
) -> tuple[str, ...]:
    """Why not fewer: each limit is lifted by itself, and it is a reason when that alone would save something."""
    if clampings == 1:
        return ()
    stack = stack_of(sections)
    capacity = _Capacity.of(stack, rules)
    # A limit that leaves room for all strips in one section fewer stops nothing.
    idle = {
        Limit.WIDTH: capacity.by_width * (sections - 1) >= stack.strips,
        Limit.WEIGHT: capacity.by_weight * (sections - 1) >= stack.strips,
    }
    reasons = []
    for limit in Limit:
        freed = _fewest(_without(stack_of, limit), _rules_without(rules, limit), most_sections)
        if freed is None or idle.get(limit):
            continue
        if freed[0] < sections:
            reasons.append(f"{_nth(sections)} because {_why(limit, stack, rules)}")
        elif freed[1] < clampings:
            reasons.append(f"{clampings} clampings, not {freed[1]}, because {_why(limit, stack, rules)}")
    if reasons:
        return tuple(reasons)
    whys = [_why(limit, stack, rules) for limit in _all_in_the_way(stack, rules)]
    return (f"{_nth(sections)} because {' and '.join(whys)}",)


def _all_in_the_way(stack: Stack, rules: ClampingRules) -> list[Limit]:
    capacity = _Capacity.of(stack, rules)
    stops = {
        Limit.WIDTH: capacity.by_width < stack.strips,
        Limit.WEIGHT: capacity.by_weight < stack.strips,
        Limit.TIME: capacity.lines < stack.strips - 1,
    }
    # Width and weight make sections; where they do, the glue’s time would not be enough of a reason by itself.
    by_planer = [limit for limit in (Limit.WIDTH, Limit.WEIGHT) if stops[limit]]
    return by_planer or [limit for limit, stop in stops.items() if stop]


def _nth(sections: int) -> str:
    return _ORDINALS[sections] if sections < len(_ORDINALS) else f"{sections} sections"


def _why(limit: Limit, stack: Stack, rules: ClampingRules) -> str:
    if limit is Limit.TIME:
        return f"{limit}: {rules.glue} gives {units.format_minutes(rules.total_minutes)} at {rules.shown.temperature(rules.temp_f)}"
    if limit is Limit.WIDTH:
        return f"{limit}: it takes {rules.shown.length(stack.planer_width_nm)}"
    return f"{limit}: {rules.shown.mass(rules.feed_kg)}"


def _unplaned(stack_of: Callable[[int], Stack]) -> Callable[[int], Stack]:
    return lambda sections: replace(stack_of(sections), planer_width_nm=0)


def _without(stack_of: Callable[[int], Stack], limit: Limit) -> Callable[[int], Stack]:
    def freed(sections: int) -> Stack:
        stack = stack_of(sections)
        if limit is Limit.WIDTH and stack.planer_width_nm:
            return replace(stack, planer_width_nm=stack.strips * stack.strip_thickness_nm)
        return stack

    return freed


def _rules_without(rules: ClampingRules, limit: Limit) -> ClampingRules:
    endless = 1e9
    if limit is Limit.TIME:
        return replace(rules, open_minutes=endless, total_minutes=endless)
    if limit is Limit.WEIGHT:
        return replace(rules, feed_kg=endless)
    return rules
