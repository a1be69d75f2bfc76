"""A bench as three views: what is seen from the front, from the right end and from above, nearest last.

Pieces are boxes along the bench's own directions, so a view is a stack of rectangles, and what a nearer one covers is
not seen. Third-angle projection: the side view is seen from the right end, the front edge on its left; the view from
above has the front edge at the bottom.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from journal import units

if TYPE_CHECKING:
    from collections.abc import Mapping

    from journal.build.design_parts import Box, Made


# A corner, a size and the outer size are each rounded to 1/64 in.
ROUNDING_NM = units.inches("1/32")
_VISE = "vise"  # the feature


class View(StrEnum):
    """From where the bench is seen."""

    FRONT = "front"
    SIDE = "side"
    TOP = "top"


# (direction across the view, direction up, direction towards the eye, whether nearer is more along it)
_DIRECTIONS = {View.FRONT: (0, 2, 1, False), View.SIDE: (1, 2, 0, True), View.TOP: (0, 1, 2, True)}


@dataclass(frozen=True, slots=True)
class Face:
    """A rectangle seen in a view: the part's label, left and bottom edge, width and height, in nm.

    `seams_nm` are its glue lines, measured from the bottom edge where they lie level (`level`), else from the left one.
    """

    label: str
    left_nm: int
    bottom_nm: int
    width_nm: int
    height_nm: int
    seams_nm: tuple[int, ...] = ()
    level: bool = False

    def covers(self, other: Face) -> bool:
        """Whether nothing of the other one is seen behind this one."""
        return (
            self.left_nm <= other.left_nm
            and self.bottom_nm <= other.bottom_nm
            and self.left_nm + self.width_nm >= other.left_nm + other.width_nm
            and self.bottom_nm + self.height_nm >= other.bottom_nm + other.height_nm
        )


@dataclass(frozen=True, slots=True)
class Round:
    """A hole seen in a view: its middle and the width across it, in nm."""

    across_nm: int
    up_nm: int
    width_nm: int


@dataclass(frozen=True, slots=True)
class Span:
    """A dimension of a view: across or upright, from and to, in nm."""

    upright: bool
    start_nm: int
    end_nm: int


@dataclass(frozen=True, slots=True)
class Drawn:
    """One view.

    Attributes:
        view: from where.
        width_nm, height_nm: the bench's outer sizes in this view.
        faces: what is seen, the farthest first, so that one drawn after another covers it.
        rounds: holes, drawn last.
        spans: dimensions besides the outer ones.
        top_nm: the top's own size across the view, where the outer one is larger; 0 where it is the same.
        beyond: what makes it larger, such as “with the vise”; '' where nothing does.
    """

    view: View
    width_nm: int
    height_nm: int
    faces: tuple[Face, ...]
    rounds: tuple[Round, ...]
    spans: tuple[Span, ...]
    top_nm: int = 0
    beyond: str = ""


def draw(made: Made, strips: Mapping[str, int] | None = None) -> tuple[Drawn, Drawn, Drawn]:
    """The bench from the front, from the right end and from above.

    Args:
        made: the bench.
        strips: of how many strips a laminated part is glued, by label; their glue lines are drawn where they are seen.
    """
    counts = strips or {}
    return _drawn(made, View.FRONT, counts), _drawn(made, View.SIDE, counts), _drawn(made, View.TOP, counts)


def top_ends(made: Made) -> tuple[tuple[int, int], tuple[int, int]] | None:
    """Where the top begins and ends along the bench's length and depth, in nm; None where no piece reaches its height.

    The top is what reaches the bench's height and carries no vise: a jaw stands out in front of it.
    """
    jaws = {part.label for part in made.parts if part.count(_VISE)}
    height = made.outer_nm[2]
    tops = [box for box in made.boxes if box.far_nm[2] >= height - ROUNDING_NM and box.label not in jaws]
    if not tops:
        return None
    (x0, x1), (y0, y1) = (
        (min(box.corner_nm[axis] for box in tops), max(box.far_nm[axis] for box in tops)) for axis in (0, 1)
    )
    return (x0, x1), (y0, y1)


def own_sizes(made: Made) -> tuple[int, int, int]:
    """Length and depth of the top, height of the bench, in nm: the sizes it is ordered by."""
    ends = top_ends(made)
    if ends is None:
        return made.outer_nm
    pairs = zip((end - start for start, end in ends), made.outer_nm, strict=False)
    length, depth = (outer if abs(outer - size) <= ROUNDING_NM else size for size, outer in pairs)
    return length, depth, made.outer_nm[2]


def standing_out(made: Made) -> tuple[Box, ...]:
    """The pieces that reach outside the stated outer sizes by more than the rounding of a place and a size."""
    return tuple(
        box
        for box in made.boxes
        if any(
            corner < -ROUNDING_NM or far > size + ROUNDING_NM
            for corner, far, size in zip(box.corner_nm, box.far_nm, made.outer_nm, strict=True)
        )
    )


def _drawn(made: Made, view: View, strips: Mapping[str, int]) -> Drawn:
    across, up, _, _ = _DIRECTIONS[view]
    # Where two come equally near, the one listed first covers the other: a top the tenons let into it.
    listed = sorted(enumerate(made.boxes), key=lambda each: (_nearness(each[1], view), -each[0]))
    faces = [_face(box, view, strips.get(box.label, 1)) for _, box in listed]
    seen = [face for index, face in enumerate(faces) if not any(other.covers(face) for other in faces[index + 1 :])]
    rounds = [Round(hole.x_nm, hole.y_nm, hole.across_nm) for hole in made.holes] if view is View.TOP else []
    spans = [Span(m.upright, m.start_nm, m.end_nm) for m in made.measures if m.view == view]
    own = own_sizes(made)
    spans += [span for span in _of_the_top(made, own, view) if span not in spans]
    wider = own[across] != made.outer_nm[across]
    return Drawn(
        view,
        made.outer_nm[across],
        made.outer_nm[up],
        tuple(seen),
        tuple(rounds),
        tuple(spans),
        top_nm=own[across] if wider else 0,
        beyond=_beyond(made) if wider else "",
    )


def _of_the_top(made: Made, own: tuple[int, int, int], view: View) -> list[Span]:
    """The top's own length and depth, where the outer size is another."""
    across, up, _, _ = _DIRECTIONS[view]
    ends = top_ends(made) or ()
    return [
        Span(axis == up, *ends[axis]) for axis in (across, up) if axis < len(ends) and own[axis] != made.outer_nm[axis]
    ]


def _beyond(made: Made) -> str:
    """What the outer sizes have in them besides the top."""
    vises = sum(part.quantity for part in made.parts if part.count(_VISE))
    return f"with the {'vise' if vises == 1 else 'vises'}" if vises else "over all"


def _face(box: Box, view: View, strips: int) -> Face:
    across, up, _, _ = _DIRECTIONS[view]
    seams: tuple[int, ...] = ()
    if box.stacked is not None and box.stacked in (across, up):
        # Strips are thinned equally, so the lines stand equally far apart.
        seams = tuple(round(box.size_nm[box.stacked] * line / strips) for line in range(1, strips))
    return Face(
        box.label,
        box.corner_nm[across],
        box.corner_nm[up],
        box.size_nm[across],
        box.size_nm[up],
        seams,
        level=box.stacked == up,
    )


def _nearness(box: Box, view: View) -> int:
    """How near to the eye the box's near side is."""
    _, _, away, nearer_is_more = _DIRECTIONS[view]
    return box.far_nm[away] if nearer_is_more else -box.corner_nm[away]
