"""Glue and finish of a commission: how much, how many whole containers to buy, how long between coats."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.build.waits import recoat_hours
from journal.desk.shelf import Reach
from journal.errors import NoSolution

if TYPE_CHECKING:
    from collections.abc import Mapping

    from journal import reference
    from journal.desk.estimate import ProjectEstimate
    from journal.quote.costing import Supply


@dataclass(frozen=True, slots=True)
class Liquid:
    """So much of one class of glue or finish.

    Attributes:
        name: of the class.
        needed_ml: for the whole commission.
        on_hand_ml: on the shelf, for this project to take.
        container_ml, containers: whole ones still to buy for what the shelf lacks; 0 where the shop has no price for it.
    """

    name: str
    needed_ml: float
    on_hand_ml: float
    container_ml: float
    containers: int


@dataclass(frozen=True, slots=True)
class Coating:
    """The finish, coat by coat.

    Attributes:
        liquid: how much of it.
        coats: how many; area_nm2: of one coat, of which end_nm2 is end grain.
        recoat_hours: quick and slow, in this shop's air; None when it is too cold, which `trouble` says.
        drying_oil: its rags heat up by themselves.
        end_grain_factor: how much more end grain drinks.
        wiped: the excess is wiped off.
    """

    liquid: Liquid
    coats: int
    area_nm2: int
    end_nm2: int
    recoat_hours: tuple[float, float] | None
    trouble: str
    drying_oil: bool
    end_grain_factor: float
    wiped: bool


def glue_of(found: ProjectEstimate, there: Mapping[str, Reach]) -> Liquid:
    """The glue of a commission; `there` is what the shelf has for it, by code."""
    supplies = found.shop.supplies(found.work)
    return _liquid(found.shop.glue(found.work).name, found.made.takeoff.glue.ml, supplies.glue, there)


def coating_of(found: ProjectEstimate, there: Mapping[str, Reach]) -> Coating:
    """The finish of a commission; `there` as above."""
    shop, taken, finish = found.shop, found.made.takeoff, found.shop.finish(found.work)
    hours, trouble = _recoat(finish, shop.allowances["shop_temp"], shop.allowances["shop_humidity_pct"])
    return Coating(
        liquid=_liquid(finish.name, taken.finish_ml, shop.supplies(found.work).finish, there),
        coats=finish.coats if found.work.coats is None else found.work.coats,
        area_nm2=taken.surface.area_nm2,
        end_nm2=taken.surface.end_nm2,
        recoat_hours=hours,
        trouble=trouble,
        drying_oil=finish.drying_oil,
        end_grain_factor=finish.end_grain_factor,
        wiped=finish.wipe_off,
    )


def _recoat(finish: reference.Finish, temp_f: float, humidity_pct: float) -> tuple[tuple[float, float] | None, str]:
    try:
        return recoat_hours(finish, temp_f, humidity_pct), ""
    except NoSolution as refused:
        return None, str(refused)


def _liquid(name: str, needed_ml: float, supply: Supply | None, there: Mapping[str, Reach]) -> Liquid:
    of_it = there.get(supply.code, Reach()) if supply else Reach()
    if supply is None or not supply.container_ml:
        return Liquid(name, needed_ml, of_it.there, 0.0, 0)
    count = math.ceil(round(of_it.still_to_buy(needed_ml) / supply.container_ml, 9))
    return Liquid(name, needed_ml, of_it.there, supply.container_ml, count)
