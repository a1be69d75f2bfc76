"""What became of the materials of a job, in a maker's words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import units
from journal.web import filters

if TYPE_CHECKING:
    from journal.desk.review_materials import Reckoned
    from journal.quote.wood_used import Against, WoodUsed

_NOTHING = 0.005  # half a per cent: said to be as expected


@dataclass(frozen=True, slots=True)
class WoodLine:
    """One kind of wood as text; "" for what is not known."""

    name: str
    blanks: str
    planned: str
    bought: str
    used: str
    left: str
    planned_waste: str
    waste: str


def wood_lines(found: Reckoned) -> tuple[WoodLine, ...]:
    """By stock, and all of it where there is more than one."""
    whole = (found.whole,) if found.whole and len(found.woods) > 1 else ()
    return tuple(_line(wood) for wood in (*found.woods, *whole))


def _line(wood: WoodUsed) -> WoodLine:
    return WoodLine(
        name=wood.code,
        blanks=_feet(wood.blanks_feet),
        planned=_feet(wood.planned_feet),
        bought=_feet(wood.bought_feet),
        used=_feet(wood.used_feet),
        left=_feet(wood.left_feet) if wood.said else "",
        planned_waste=_share(wood.planned_waste),
        waste=_share(wood.waste),
    )


def _feet(feet: float | None) -> str:
    return "" if feet is None else filters.board_feet(units.round_half_up(feet * units.NM3_PER_BOARD_FOOT))


def _share(share: float | None) -> str:
    return "" if share is None else f"{round(100 * share)}\N{NO-BREAK SPACE}%".replace("-", "−")


def said(found: Reckoned) -> tuple[str, ...]:
    """Plain sentences, the wood first."""
    words = [_wood(found.whole) if found.whole else "", _left(found), _paid(found)]
    words += [_poured("Glue", found.glue), _poured("Finish", found.finish)]
    return tuple(one for one in words if one)


def _wood(wood: WoodUsed) -> str:
    if not wood.said:
        return "Nobody said what was left of some boards, so all of them count as used and their waste is not known."
    if wood.blanks_feet is None:
        return "The plan can no longer be worked out with what the shop buys now, so the waste is not known."
    if wood.waste is None:
        return ""
    if wood.waste < 0:
        return "Less wood is gone than the blanks hold: a receipt is missing, or other wood was taken."
    planned = f"; the plan has {_share(wood.planned_waste)}" if wood.planned_waste is not None else ""
    return (
        f"Of {_feet(wood.used_feet)} used, {_feet(wood.blanks_feet)} are in the blanks: {_share(wood.waste)} "
        f"was waste{planned}."
    )


def _left(found: Reckoned) -> str:
    if not found.left_cents:
        return ""
    return f"What was left over went to the rack, worth {filters.money(found.left_cents)} at cost."


def _paid(found: Reckoned) -> str:
    if found.paid is None:
        return ""
    on_top = f", and freight and tax put {filters.money(found.on_top_cents)} on top" if found.on_top_cents else ""
    more = found.paid.more
    if more is None or abs(more) < _NOTHING:
        return f"What was bought cost what the price book had on the day agreed{on_top}."
    how = "more" if more > 0 else "less"
    return f"What was bought cost {_share(abs(more))} {how} than the price book had on the day agreed{on_top}."


def _poured(what: str, poured: Against | None) -> str:
    if poured is None or poured.more is None:
        return ""
    amount = filters.liquid(poured.actual)
    if abs(poured.more) < _NOTHING:
        return f"{what}: {amount}, as much as was expected."
    how = "more" if poured.more > 0 else "less"
    return f"{what}: {amount}, {_share(abs(poured.more))} {how} than expected for the areas logged."
