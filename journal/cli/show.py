"""Estimates and paces as tables on a terminal."""

from __future__ import annotations

import sys
from typing import IO, TYPE_CHECKING, Any, cast

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from journal import units
from journal.build.stock import Rough
from journal.quote.estimate import chances
from journal.quote.risk import Range
from journal.working import chance_text

if TYPE_CHECKING:
    from journal.desk.paces import Taught
    from journal.pace.model import Calibration
    from journal.quote.estimate import Estimate
    from journal.working import Line

_WIDTH = 110
_LEGEND = (
    "book: minutes by the starting book; mean: minutes expected here, your logs counted in; logs 7+20: 7 entries of the "
    "operation itself and 20 of its whole stage.\n"
)
_LEGEND_OF_PACES = (
    "book: the starting book’s; middle: as likely above as below, your logs counted in; logs 7+20: 7 entries of the "
    "operation itself and 20 of its whole stage; newest: the last day logged.\n"
)


class _Marked:
    """Standard output, its numbers in the marks of a shop; the width of a line stays."""

    def __init__(self, mark: units.Mark) -> None:
        self.mark = mark

    def write(self, text: str) -> int:
        return sys.stdout.write(units.marked(text, self.mark))

    def __getattr__(self, name: str) -> Any:  # noqa: ANN401 - whatever a stream has
        return getattr(sys.stdout, name)


def console_for(mark: units.Mark = units.Mark.POINT) -> Console:
    """The terminal, or plain lines of one width where there is none; numbers in the shop's marks."""
    out = cast("IO[str]", _Marked(mark))
    found = Console(file=out, highlight=False)
    if not found.is_terminal:
        found = Console(file=out, highlight=False, width=_WIDTH)
    return found


def table_for(title: str, *columns: tuple[str, str]) -> Table:
    """A table with its title over it and its columns as (heading, side)."""
    table = Table(title=title, title_justify="left", title_style="bold", box=SIMPLE_HEAD, pad_edge=False)
    for heading, justify in columns:
        # A working may take several lines; a figure never does.
        table.add_column(heading, justify=justify, no_wrap=justify == "right", overflow="fold")  # type: ignore[arg-type]
    return table


def show_estimate(
    made: Estimate,
    *,
    title: str,
    calibration: Calibration,
    price_cents: int | None = None,
    console: Console | None = None,
) -> None:
    """The estimate: what to buy, the work, the cost line by line with its working, the price and its risk."""
    out = console or console_for()
    benches = made.takeoff.benches
    out.print(Text(f"{title}" + (f", {benches} benches" if benches > 1 else ""), style="bold"))
    out.print(_boards(made))
    out.print(_quantities(made))
    out.print(_work(made, calibration))
    out.print(Text(_LEGEND))
    out.print(_costs(made))
    out.print(_verdict(made, price_cents))
    for caution in made.cautions:
        out.print(Text(f"Note: {caution}"))
    for note in made.takeoff.notes:
        out.print(Text(f"Note: {note}"))
    for gap in made.missing:
        out.print(Text(f"Left out of the price: {gap}", style="bold red"))


def _money(made: Estimate, cents: float) -> str:
    return made.rates.money(cents)


def _boards(made: Estimate) -> Table:
    table = table_for(
        "Boards and sheets to buy", ("stock", "left"), ("length", "right"), ("count", "right"), ("cost", "right")
    )
    for bill in made.takeoff.bills:
        if isinstance(bill.stock, Rough):
            table.add_row(bill.stock.code, "random", f"{bill.board_feet:.1f} bd ft", _money(made, bill.cents))
        for purchase in bill.purchases:
            length = (
                made.rates.shown.length(purchase.offer.length_nm, feet=True) if purchase.offer.length_nm else "sheet"
            )
            spare = f" ({purchase.spares} spare)" if purchase.spares else ""
            table.add_row(bill.stock.code, length, f"{purchase.count}{spare}", _money(made, purchase.cents))
    return table


def _quantities(made: Estimate) -> Table:
    table = table_for("What it takes", ("", "left"), ("", "right"), ("working", "left"))
    for line in made.quantities:
        if line.unit != "min":
            table.add_row(line.name, _amount(line, made.rates.shown), line.working)
            for part in line.parts:
                table.add_row(f"  {part.name}", _amount(part, made.rates.shown), part.working)
    return table


def _amount(line: Line, shown: units.Shown) -> str:
    """A figure as the shop writes it."""
    if line.unit == "ml":
        return shown.liquid(line.value)
    if line.unit == "kg":
        return shown.mass(line.value)
    return shown.amount(line.value, line.unit.removesuffix("s"))


def _work(made: Estimate, calibration: Calibration) -> Table:
    learnt = (
        f"{calibration.rows} entries of {calibration.projects} projects"
        if calibration.rows
        else "the starting book, no logs yet"
    )
    table = table_for(
        f"The work, person-minutes; paces from {learnt}",
        ("operation", "left"),
        ("quantity", "right"),
        ("book", "right"),
        ("8 in 10 between", "right"),
        ("mean", "right"),
        ("logs", "right"),
    )
    stage = ""
    for operation in made.operations:
        if operation.stage != stage:
            stage = operation.stage
            table.add_section()
        table.add_row(
            operation.name,
            made.rates.shown.amount(operation.quantity, operation.unit),
            f"{operation.book_minutes:,.0f}",
            f"{operation.minutes.p10:,.0f} – {operation.minutes.p90:,.0f}",
            f"{operation.mean_minutes:,.0f}",
            f"{operation.logs}" + (f"+{operation.stage_logs}" if operation.stage_logs else ""),
        )
    return table


def _costs(made: Estimate) -> Table:
    table = table_for("The price", ("", "left"), ("", "right"), ("working", "left"), ("from", "left"))
    for line in made.costs:
        _add(table, made, line, 0)
    table.add_section()
    table.add_row("Price", _money(made, made.price_cents), "the sum of these lines", "", style="bold")
    return table


def _add(table: Table, made: Estimate, line: Line, depth: int) -> None:
    table.add_row("  " * depth + line.name, _money(made, line.value), line.working, str(line.basis))
    for part in line.parts:
        _add(table, made, part, depth + 1)


def _verdict(made: Estimate, price_cents: int | None) -> Text:
    hours, cost = Range.of(made.hours), Range.of(made.cost)
    asked = made.price_cents if price_cents is None else price_cents
    means = chances(made, asked)
    lines = [
        f"Hours    eight times in ten between {hours.p10:.0f} and {hours.p90:.0f}; as likely above {hours.p50:.0f} as below",
        f"Cost     eight times in ten between {_money(made, cost.p10)} and {_money(made, cost.p90)}",
        (
            f"Price    {_money(made, asked)}: {chance_text(means.below_wage)} chance of earning less than the wage, "
            f"{chance_text(means.out_of_pocket)} of losing money, your own hours unpaid; likely {_money(made, means.earned_cents_per_hour)} an hour"
        ),
    ]
    return Text("\n".join(lines))


def show_paces(taught: Taught, summary: dict[str, Any], console: Console | None = None) -> None:
    """The paces: this shop's minutes a unit beside the book's; and a plan's minutes when one was given."""
    out = console or console_for()
    calibration = taught.calibration
    table = table_for(
        f"Minutes a unit, from {calibration.rows} entries of {calibration.projects} projects",
        ("operation", "left"),
        ("unit", "left"),
        ("book", "right"),
        ("8 in 10 between", "right"),
        ("middle", "right"),
        ("logs", "right"),
        ("newest", "right"),
    )
    for operation in summary["operations"]:
        _add_pace(table, operation)
    out.print(table)
    out.print(Text(_LEGEND_OF_PACES))
    spread = summary["spread"]
    shown = ", ".join(f"{name} {value:.2f}" for name, value in spread.items())
    out.print(Text(f"How far things lie apart (standard deviation of the logarithm): {shown}"))
    rework = taught.evidence.rework
    if rework.lines:
        out.print(
            Text(
                f"Rework: {units.format_hours(rework.minutes)} in {rework.lines} lines, {rework.ratio:.1%} of the rest"
            )
        )
    if "total_minutes" in summary:
        _show_total(out, summary["total_minutes"])


def _add_pace(table: Table, operation: dict[str, Any]) -> None:
    own, book = operation["minutes_per_unit"], operation["book_minutes_per_unit"]
    if not book:  # an operation that is all set-up
        own, book = operation["setup_minutes"], None
    table.add_row(
        operation["code"],
        operation["unit"] if book else "set-up",
        f"{book:.2f}" if book else "",
        f"{own['p10']:.2f} – {own['p90']:.2f}",
        f"{own['p50']:.2f}",
        f"{operation['logs']}+{operation['stage_logs']}",
        operation["newest"] or "",
    )


def _show_total(out: Console, total: dict[str, float]) -> None:
    out.print(
        Text(
            f"The plan: eight times in ten between {total['p10'] / 60:.1f} and {total['p90'] / 60:.1f} hours, "
            f"as likely above {total['p50'] / 60:.1f} as below",
            style="bold",
        )
    )
