"""An issued quote as the shop reads it: what it rested on, every figure with its working, and today's estimate beside it.

All of "then" comes from the stored text, in the money of its day.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from journal import reference, units
from journal.web import figures
from journal.web.state import Display, display, in_marks

if TYPE_CHECKING:
    from journal.desk.estimate import ProjectEstimate
    from journal.desk.quote_content import Content


@dataclass(frozen=True, slots=True)
class Beside:
    """A figure then and today, and the difference."""

    name: str
    then: str
    today: str
    more: str


@dataclass(frozen=True, slots=True)
class Working:
    """A line as it was kept."""

    name: str
    figure: str
    working: str
    basis: str
    source: str


@dataclass(frozen=True, slots=True)
class Kept:
    """What a quote rested on.

    Attributes:
        way: from the cost to the total, name and amount.
        beside: then and today; empty where today makes no estimate.
        today_trouble: why not.
        hours: range, eight times in ten between; below_wage, out_of_pocket, earned, margin, markup: at its price.
        costs, takes, operations: every line with its working.
        missing, notes: as they were said then.
        learnt: what the paces rested on; tool: the version of the program; plan_version: of the parts.
    """

    way: tuple[tuple[str, str], ...]
    beside: tuple[Beside, ...]
    today_trouble: str
    hours: str
    below_wage: float
    out_of_pocket: float
    earned: str
    margin: float
    markup: float
    costs: tuple[Working, ...]
    takes: tuple[Working, ...]
    operations: tuple[Working, ...]
    missing: tuple[str, ...]
    notes: tuple[str, ...]
    learnt: str
    tool: str
    plan_version: int


def lay_out(content: Content, tool: str, plan_version: int, now: ProjectEstimate | None, trouble: str) -> Kept:
    """The shop's copy of a quote."""
    kept = content["kept"]
    made, means = kept["estimate"], content["at_this_price"]
    money = units.currency(made["currency"])
    shown = Display("", display().system, money)
    lines = [_working(line, shown) for line in made["lines"]]
    codes = {_name(operation["code"]) for operation in made["operations"]}
    sort = {id(line): _kind(line, raw, codes) for line, raw in zip(lines, made["lines"], strict=True)}
    return Kept(
        way=_way(content, money),
        beside=_beside(content, now) if now else (),
        today_trouble=trouble,
        hours=in_marks(f"{made['hours']['p10']:,.0f} – {made['hours']['p90']:,.0f} h"),
        below_wage=means["below_wage"],
        out_of_pocket=means["out_of_pocket"],
        earned=in_marks(units.format_money(means["earned_cents_per_hour"], money)),
        margin=means["margin"],
        markup=means["markup"],
        costs=tuple(line for line in lines if sort[id(line)] == "cost"),
        takes=tuple(line for line in lines if sort[id(line)] == "takes"),
        operations=tuple(line for line in lines if sort[id(line)] == "operation"),
        missing=tuple(made["missing"]),
        notes=tuple(made["notes"]),
        learnt=_learnt(kept["paces"]),
        tool=tool,
        plan_version=plan_version,
    )


def _way(content: Content, money: units.Currency) -> tuple[tuple[str, str], ...]:
    """From the cost lines to the total: how the price on the paper came about."""
    made, sums = content["kept"]["estimate"], content["sums"]
    steps = [(line["name"], line["cents"]) for line in content["costs"]]
    steps.append(("Price to ask, by the estimate", made["price_cents"]))
    if sums["list_cents"] != made["price_cents"]:
        steps.append(("Changed by hand", sums["list_cents"] - made["price_cents"]))
    if sums["discount_cents"]:
        steps.append(("Discount", -sums["discount_cents"]))
    steps += [
        ("Price before tax", sums["net_cents"]),
        ("Sales tax", sums["tax_cents"]),
        ("Total", sums["total_cents"]),
    ]
    return tuple((name, in_marks(units.format_money(cents, money))) for name, cents in steps)


def _beside(content: Content, now: ProjectEstimate) -> tuple[Beside, ...]:
    """Then and today, line by line; a line that is only in one of them counts as nothing in the other."""
    then = {line["name"]: line["cents"] for line in content["costs"]}
    today = {line.name: int(line.value) for line in now.made.costs}
    made = content["kept"]["estimate"]
    money, money_now = units.currency(made["currency"]), now.made.rates.currency
    rows = [("Price to ask", made["price_cents"], now.made.price_cents)]
    rows += [(name, then.get(name, 0), today.get(name, 0)) for name in dict.fromkeys((*then, *today))]
    found = [_money_row(*row, money, money_now) for row in rows]
    hours = content["minutes"] / 60, now.made.quantities[-1].value / 60
    more = hours[1] - hours[0]
    sign = "+" if more > 0 else "−" if more < 0 else ""
    return (
        *found,
        Beside("Hours, mean", *(in_marks(f"{each:,.1f} h") for each in hours), in_marks(f"{sign}{abs(more):,.1f} h")),
    )


def _money_row(name: str, then: int, today: int, money: units.Currency, money_now: units.Currency) -> Beside:
    texts = in_marks(units.format_money(then, money)), in_marks(units.format_money(today, money_now))
    if money != money_now:  # two moneys have no difference
        return Beside(name, *texts, "–")
    more = in_marks(units.format_money(today - then, money))
    return Beside(name, *texts, f"+{more}" if today > then else more)


def _kind(line: Working, raw: dict[str, Any], operations: set[str]) -> str:
    if raw["unit"] == "cents":
        return "cost"
    return "operation" if raw["unit"] == "min" and line.name in operations else "takes"


def _working(line: dict[str, Any], shown: Display) -> Working:
    figure = figures.value_text(line["value"], line["unit"], shown)
    return Working(line["name"], figure, line["working"], line["basis"], line["source"])


def _name(code: str) -> str:
    """As it is called today; an operation the book no longer has keeps its code."""
    known = reference.operations().get(code)
    return known.name if known else code


def _learnt(paces: dict[str, int]) -> str:
    if not paces["entries"]:
        return "the starting book alone"
    return f"{paces['entries']:,} entries of {paces['projects']:,} finished jobs"
