"""Which state of a project may follow which, and what has to be said when it does. One table; nothing is read or kept.

    enquiry → quoted → accepted → in build → delivered → closed

Beside that line: declined or lapsed before anything is agreed, on hold anywhere, cancelled once it is agreed, and
built for stock, with nobody to deliver to yet. Only issuing a quote makes a project quoted.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from journal.errors import BadInput
from journal.records.words import ProjectState

_S = ProjectState


class Ask(StrEnum):
    """What has to be said beside the day."""

    WHY = "why"
    AGREED = "agreed"  # which quote, or what price
    PRICE = "price"  # a price may be said; nothing depends on it
    DEPOSIT = "deposit"  # kept or returned


@dataclass(frozen=True, slots=True)
class Step:
    """A move that may be made.

    Attributes:
        start, end: the states.
        label: on its button; done: afterwards, “is …”.
        asks: what has to be said.
        usual: what mostly comes next from there.
    """

    start: ProjectState
    end: ProjectState
    label: str
    done: str
    asks: tuple[Ask, ...] = ()
    usual: bool = False

    @property
    def at_once(self) -> bool:
        """Whether a button alone can make it."""
        return not self.asks


_ACCEPT = ("Accepted", "accepted", (Ask.AGREED,))
_DECLINE = ("Declined", "declined", (Ask.WHY,))
_FOR_STOCK = ("Build it for stock", "in build, for stock")
_HOLD = ("Put on hold", "on hold", (Ask.WHY,))
_CANCEL = ("Cancelled", "cancelled", (Ask.WHY, Ask.DEPOSIT))

# The order is that of the buttons.
STEPS = (
    Step(_S.ENQUIRY, _S.ACCEPTED, *_ACCEPT),
    Step(_S.ENQUIRY, _S.DECLINED, *_DECLINE),
    Step(_S.ENQUIRY, _S.IN_BUILD, *_FOR_STOCK),
    Step(_S.ENQUIRY, _S.ON_HOLD, *_HOLD),
    Step(_S.QUOTED, _S.ACCEPTED, *_ACCEPT, usual=True),
    Step(_S.QUOTED, _S.DECLINED, *_DECLINE),
    Step(_S.QUOTED, _S.LAPSED, "No answer: it lapses", "lapsed"),
    Step(_S.QUOTED, _S.IN_BUILD, *_FOR_STOCK),
    Step(_S.QUOTED, _S.ON_HOLD, *_HOLD),
    Step(_S.DECLINED, _S.ENQUIRY, "Asked for again", "an enquiry again"),
    Step(_S.LAPSED, _S.ACCEPTED, *_ACCEPT),
    Step(_S.LAPSED, _S.DECLINED, *_DECLINE),
    Step(_S.LAPSED, _S.ENQUIRY, "Asked for again", "an enquiry again"),
    Step(_S.ACCEPTED, _S.IN_BUILD, "Start the build", "in build", usual=True),
    Step(_S.ACCEPTED, _S.ON_HOLD, *_HOLD),
    Step(_S.ACCEPTED, _S.CANCELLED, *_CANCEL),
    Step(_S.IN_BUILD, _S.DELIVERED, "Delivered", "delivered", usual=True),
    Step(_S.IN_BUILD, _S.STOCK, "Finished, for stock", "built and in stock"),
    Step(_S.IN_BUILD, _S.ON_HOLD, *_HOLD),
    Step(_S.IN_BUILD, _S.CANCELLED, *_CANCEL),
    Step(_S.DELIVERED, _S.CLOSED, "Close", "closed", usual=True),
    Step(_S.CLOSED, _S.DELIVERED, "Reopen", "open again"),
    Step(_S.CANCELLED, _S.IN_BUILD, "Build on, for stock", "in build, for stock"),
    Step(_S.STOCK, _S.DELIVERED, "Sold and delivered", "delivered", (Ask.PRICE,), usual=True),
    Step(_S.STOCK, _S.CLOSED, "Close", "closed"),
    Step(_S.ON_HOLD, _S.ENQUIRY, "Back to an enquiry", "an enquiry again", usual=True),
    Step(_S.ON_HOLD, _S.QUOTED, "Back to quoted", "quoted again", usual=True),
    Step(_S.ON_HOLD, _S.ACCEPTED, "Back to accepted", "accepted again", usual=True),
    Step(_S.ON_HOLD, _S.IN_BUILD, "Back into the build", "in build again", usual=True),
    Step(_S.ON_HOLD, _S.DECLINED, *_DECLINE),
    Step(_S.ON_HOLD, _S.CANCELLED, *_CANCEL),
)

# States in which a quote may be issued; what comes after an agreement is an extra.
MAY_QUOTE = (_S.ENQUIRY, _S.QUOTED, _S.DECLINED, _S.LAPSED, _S.ON_HOLD)
# States with an agreement, on which extras and payments stand.
AGREED = (_S.ACCEPTED, _S.IN_BUILD, _S.DELIVERED, _S.CLOSED, _S.CANCELLED, _S.ON_HOLD)
_BEFORE_AGREEING = (_S.ENQUIRY, _S.QUOTED)


def steps_from(state: ProjectState, held_from: ProjectState | None = None) -> tuple[Step, ...]:
    """The moves a project may make, the usual one first.

    Args:
        state: where it is.
        held_from: where it was before it was put on hold, which is where it goes back to; None when that is not known.
    """
    found = [step for step in STEPS if step.start is state and _goes_back(step, held_from)]
    return tuple(sorted(found, key=lambda step: not step.usual))


def step_to(state: ProjectState, end: ProjectState, held_from: ProjectState | None = None) -> Step:
    """The move from one state to another.

    Raises:
        BadInput: there is none; lists what there is.
    """
    for step in steps_from(state, held_from):
        if step.end is end:
            return step
    ways = ", ".join(_plain(step.end) for step in steps_from(state, held_from))
    raise BadInput("move", _plain(end), f"from “{_plain(state)}” one of: {ways}")


def _goes_back(step: Step, held_from: ProjectState | None) -> bool:
    """What was on hold goes back to where it was, and ends as it could have ended from there."""
    if step.start is not _S.ON_HOLD or held_from is None:
        return True
    if step.end is _S.DECLINED:
        return held_from in _BEFORE_AGREEING
    if step.end is _S.CANCELLED:
        return held_from not in _BEFORE_AGREEING
    return step.end is held_from


def _plain(state: ProjectState) -> str:
    return state.value.replace("_", " ")
