"""What a glue-up in clamps really was: put right over what its clock said."""

from __future__ import annotations

from dataclasses import asdict, dataclass, fields
from typing import TYPE_CHECKING

from journal import units
from journal.desk.floor_undo import change_step
from journal.errors import BadInput, Conflict
from journal.records.base import canonical, checksum
from journal.records.queries import acts, floor, gluing

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from journal.desk.sending import Sending
    from journal.records.queries.floor import GlueUpRow


@dataclass(frozen=True, slots=True)
class Told:
    """What the maker says of a glue-up that is done; seconds from the first glue, ml of glue or None when not measured."""

    strips: int
    glue_ml: float | None
    spread_seconds: int
    assembly_seconds: int
    clamps: int | None

    def __post_init__(self) -> None:
        if self.assembly_seconds < self.spread_seconds:
            raise BadInput(
                "assembly", units.format_minutes(self.assembly_seconds / 60), "no less than the spreading, part of it"
            )


def stamp(row: GlueUpRow) -> str:
    """Tells whether a glue-up is still as it was: every field that can be put right."""
    return checksum(canonical({one.name: str(getattr(row, one.name)) for one in fields(Told)}))


def tell(session: Session, clock_id: int, told: Told, *, seen: str, sent: Sending) -> str:
    """Put a glue-up right: real strips, glue used, times. Its logged time stays the clock's. Answers what was done.

    Args:
        session: writing.
        clock_id: of which.
        told: as it was.
        seen: the stamp of the glue-up on the page that was filled in.
        sent: which sending of the form this is.

    Raises:
        Conflict: it is not in clamps, or was put right by somebody else since.
    """
    if before := sent.before(session):
        return before
    row = gluing.get_clock(session, clock_id)
    if row.glue_up_id is None or row.removed_at is not None:
        raise Conflict("this glue-up", "it is not in clamps: open it again")
    kept = floor.get_glue_up(session, row.glue_up_id)
    if stamp(kept) != seen:
        raise Conflict("this glue-up", "open it again and repeat the change")
    changes = {**asdict(told), "area_mm2": row.line_area_mm2 * (told.strips - 1)}
    step = change_step("glue_up", kept, changes)
    floor.change_glue_up(session, row.glue_up_id, changes)
    said = f"Noted of the glue-up: {row.label}" if step else "Nothing was changed"
    if step:
        acts.add_act(session, sent.key, said, [step], now=sent.now)
    return said
