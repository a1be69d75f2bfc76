"""Which of the wage and the overhead this shop has said itself; the other is what every journal starts with.

A figure that differs from the starting one was said. One that happens to equal it counts as said once somebody kept it
under Shop; that is remembered beside the shop's changed allowances.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.records.queries import shop as shop_records
from journal.records.queries.shop import SettingRow, ShopRow

if TYPE_CHECKING:
    from collections.abc import Container

    from sqlalchemy.orm import Session

WAGE, OVERHEAD = "wage_said", "overhead_said"
_FIGURES = {WAGE: "wage_cents_per_hour", OVERHEAD: "overhead_cents_per_hour"}


def say(session: Session, *figures: str) -> None:
    """Remember that the shop itself kept these, WAGE or OVERHEAD."""
    for key in figures:
        shop_records.put_setting(session, SettingRow(key, "yes", ""))


def unsaid(row: ShopRow, kept: Container[str]) -> frozenset[str]:
    """Those nobody has said; `kept` holds the keys of what stands beside the allowances."""
    start = ShopRow()
    return frozenset(
        key for key, name in _FIGURES.items() if key not in kept and getattr(row, name) == getattr(start, name)
    )
