"""Why a job left more or less than was expected: its one or two largest causes, in a clause."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.quote.review import Cause
from journal.web import filters

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.quote.review import Bridge

# Steps that have one reason are told as one: (causes, what left more, what left less).
_REASONS: tuple[tuple[tuple[Cause, ...], str, str], ...] = (
    ((Cause.AGREED,), "hours agreed beyond the plan", "hours agreed short of the plan"),
    ((Cause.HOURS, Cause.OVERHEAD), "fewer hours than {quoted}", "more hours than {quoted}"),
    ((Cause.REWORK,), "less work done again than allowed for", "more work done again than allowed for"),
    ((Cause.QUANTITY,), "less material than quoted", "more material than quoted"),
    ((Cause.PRICE,), "cheaper material than quoted", "dearer material than quoted"),
    ((Cause.RATE,), "cheaper hands than quoted", "dearer hands than quoted"),
    ((Cause.MACHINES,), "fewer machine hours than quoted", "more machine hours than quoted"),
    ((Cause.EXTRAS,), "what the client added", "what the client took away"),
    ((Cause.BESIDE,), "cost that was quoted beside the plan", "cost that the quote left out"),
)
_WORTH_TELLING = 5  # a second cause is told from a fifth of the first


def because(bridge: Bridge) -> str:
    """What moved the profit the way it went; "" where it is what was expected."""
    more = bridge.made_cents - bridge.expected_cents
    # Where more or less than the plan was agreed, that is a cause of its own and the hours are held against the plan.
    quoted = "planned" if bridge.of(Cause.AGREED) else "quoted"
    sums = [
        (sum(bridge.of(cause) for cause in causes), up.format(quoted=quoted), down.format(quoted=quoted))
        for causes, up, down in _REASONS
    ]
    with_it = sorted((one for one in sums if one[0] * more > 0), key=lambda one: -abs(one[0]))
    if not with_it:
        return ""
    told = [one for one in with_it[:2] if _WORTH_TELLING * abs(one[0]) >= abs(with_it[0][0])]
    # A cause larger than all that came of it was set off by another: without that the sentence would not add up.
    against = min(sums, key=lambda one: one[0] * more)
    set_off = abs(told[0][0]) > abs(more) and against[0] * more < 0
    return _clause(told, more=more > 0, against=against if set_off else None)


def _clause(told: Sequence[tuple[int, str, str]], *, more: bool, against: tuple[int, str, str] | None) -> str:
    (cents, up, down), *rest = told
    words = f"{up if more else down} {'brought' if more else 'took'} {filters.money(abs(cents))}"
    for cents, up, down in rest:
        words += f", {up if more else down} {filters.money(abs(cents))}"
    if against:
        cents, up, down = against
        words += f"; against that, {down if more else up} {'took' if more else 'brought'} {filters.money(abs(cents))}"
    return f"Mostly because {words}."
