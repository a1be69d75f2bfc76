"""The bench of a project that came from a design: its sizes as chosen, for the drawing and the way through a door."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal.build.design_parts import make
from journal.build.drawing import draw, own_sizes
from journal.desk import designs
from journal.errors import JournalError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy.orm import Session

    from journal.build.drawing import Drawn
    from journal.build.parts import Part
    from journal.records.queries.projects import ProjectRow


@dataclass(frozen=True, slots=True)
class DrawnBench:
    """A bench as its design draws it.

    Attributes:
        title: of the design.
        outer_nm: length, depth and height over all.
        own_nm: length and depth of the top, height of the bench.
        views: from the front, the right end and above.
        changed: the project's parts are no longer those of the design, so the drawing is of another bench.
    """

    title: str
    outer_nm: tuple[int, int, int]
    own_nm: tuple[int, int, int]
    views: tuple[Drawn, Drawn, Drawn]
    changed: bool


def drawn_bench(
    session: Session, project: ProjectRow, listed: Sequence[Part], strips: Mapping[str, int]
) -> DrawnBench | None:
    """The bench of a project; None when it came from no design, or from one that is gone or reads no more.

    Args:
        session: for reading.
        project: whose.
        listed: its parts as they stand.
        strips: how many strips each laminated part is glued of, by label.
    """
    if not project.design_word or project.design_values is None:
        return None
    try:
        entry = designs.find(session, project.design_word)
        made = make(designs.ready(entry), project.design_values)
    except JournalError:  # put away, renamed, or rewritten since: there is nothing to draw, and nothing is wrong
        return None
    as_designed = {replace(part, uid="") for part in made.parts}
    changed = as_designed != {replace(part, uid="") for part in listed}
    return DrawnBench(entry.title, made.outer_nm, own_sizes(made), draw(made, strips), changed)
