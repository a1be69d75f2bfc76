"""Whether a price makes sense: what a maker would want to be told before saying it aloud."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from journal.quote.estimate import Estimate

# Six tenths of the price as profit is hardly ever meant (judgement): a cost is missing, or a nought too many was typed.
ABSURD_MARGIN = 0.6


def warnings(made: Estimate, price_cents: int) -> tuple[str, ...]:
    """What is odd about a price, in sentences; nothing for most.

    Args:
        made: the estimate it is for.
        price_cents: what is asked, after any discount and before tax.
    """
    money, outlay = made.rates.money, made.outlay.at(0.5)
    if price_cents < outlay:
        said = f"{money(price_cents)} does not even cover what likely leaves the pocket, {money(outlay)}: the work would be given away, and money with it."
        return (said,)
    profit = price_cents - made.expected_cents
    if profit >= ABSURD_MARGIN * price_cents:
        said = f"{profit / price_cents:.0%} of {money(price_cents)} would be profit. Is a cost missing, or a nought too many?"
        return (said,)
    return ()
