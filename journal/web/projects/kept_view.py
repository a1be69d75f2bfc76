"""An estimate that was kept, shown from its stored text: nothing is worked out again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from journal import reference, units
from journal.web import figures, filters
from journal.web.projects import price_view
from journal.web.state import Display, display
from journal.working import Spread

if TYPE_CHECKING:
    from datetime import datetime

    from journal.records.queries.projects import ProjectRow


@dataclass(frozen=True, slots=True)
class KeptLine:
    """A line as it was kept, its figure as text in the money of its day."""

    name: str
    figure: str
    working: str
    basis: str
    source: str


@dataclass(frozen=True, slots=True)
class KeptOperation:
    """An operation as it was kept."""

    name: str
    quantity: str
    minutes: Spread
    logs: int
    working: str


@dataclass(frozen=True, slots=True)
class KeptPage:
    """What projects/kept.html receives.

    Attributes:
        project: as it is called today.
        title, benches, plan_version: what was estimated.
        made_at, reason: when and why it was kept.
        price, cost: in the money of the day; hours, cost: eight times in ten between.
        weight_kg, to_buy: as kept.
        costs: lines of money; takes: the other lines; operations: the work.
        missing, notes: as they were said then.
        learnt: what the paces rested on.
    """

    project: ProjectRow
    title: str
    benches: int
    plan_version: int
    made_at: datetime
    reason: str
    price: str
    hours: str
    cost: str
    weight_kg: float
    to_buy: str
    costs: tuple[KeptLine, ...]
    takes: tuple[KeptLine, ...]
    operations: tuple[KeptOperation, ...]
    missing: tuple[str, ...]
    notes: tuple[str, ...]
    learnt: str


def lay_out(project: ProjectRow, kept: dict[str, Any]) -> KeptPage:
    """A kept estimate as the page shows it."""
    made = kept["estimate"]
    shown = Display("", display().system, units.currency(made["currency"]))
    cost, hours, lines = made["cost_cents"], made["hours"], made["lines"]
    workings = _workings(made)
    return KeptPage(
        project=project,
        title=kept["project"]["title"],
        benches=kept["project"]["benches"],
        plan_version=kept["plan_version"],
        made_at=kept["made_at"],
        reason=kept["reason"],
        price=figures.value_text(made["price_cents"], "cents", shown),
        hours=price_view.hours_text(hours["p10"], hours["p90"]),
        cost=price_view.cost_text(cost["p10"], cost["p90"], shown.currency),
        weight_kg=made["weight_kg"],
        to_buy=price_view.to_buy_text(made["boards"]["count"], made["sheets"]["count"]),
        costs=tuple(_line(line, shown) for line in lines if line["unit"] == "cents"),
        takes=tuple(_line(line, shown) for line in lines if line["unit"] != "cents" and line["name"] not in workings),
        operations=tuple(_operation(operation, workings) for operation in made["operations"]),
        missing=tuple(made["missing"]),
        notes=tuple(made["notes"]),
        learnt=price_view.learnt(kept["paces"]["entries"], kept["paces"]["projects"]),
    )


def _line(line: dict[str, Any], shown: Display) -> KeptLine:
    figure = figures.value_text(line["value"], line["unit"], shown)
    return KeptLine(line["name"], figure, line["working"], line["basis"], line["source"])


def _workings(made: dict[str, Any]) -> dict[str, str]:
    """The workings of the operations by name: their lines are shown with them and nowhere else."""
    names = {_name(operation["code"]) for operation in made["operations"]}
    return {line["name"]: line["working"] for line in made["lines"] if line["unit"] == "min" and line["name"] in names}


def _name(code: str) -> str:
    """What an operation is called; an operation no longer in the book keeps its code."""
    known = reference.operations().get(code)
    return known.name if known else code


def _operation(kept: dict[str, Any], workings: dict[str, str]) -> KeptOperation:
    minutes = kept["minutes"]
    quantity = filters.amount(kept["quantity"], kept["unit"])
    name = _name(kept["code"])
    return KeptOperation(
        name, quantity, Spread(minutes["p10"], minutes["p50"], minutes["p90"]), kept["logs"], workings.get(name, "")
    )
