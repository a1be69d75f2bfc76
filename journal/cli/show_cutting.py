"""A cutting plan as tables on a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from journal import units
from journal.working import counted

if TYPE_CHECKING:
    from journal.cutting.problem import BoardCut, BoardProblem, CuttingResult

_WIDTH = 110


def show_cutting(
    problem: BoardProblem, result: CuttingResult, *, seconds: float, console: Console | None = None
) -> None:
    """What to buy, how each board is cut, and how good that is."""
    out = console or Console(highlight=False)
    if console is None and not out.is_terminal:
        out = Console(highlight=False, width=_WIDTH)
    buy = Table(title="To buy", title_justify="left", title_style="bold", box=SIMPLE_HEAD, pad_edge=False)
    buy.add_column("stock")
    buy.add_column("count", justify="right")
    for stock, count in (*result.shopping, *result.from_rack):
        buy.add_row(stock + (" (on the rack)" if (stock, count) in result.from_rack else ""), str(count))
    out.print(buy)
    cuts = Table(title="To cut", title_justify="left", title_style="bold", box=SIMPLE_HEAD, pad_edge=False)
    cuts.add_column("board", justify="right")
    cuts.add_column("stock")
    cuts.add_column("segments: rough length, strips across", overflow="fold")
    for number, board in enumerate(result.plan.boards, start=1):
        cuts.add_row(str(number), board.stock_id, _segments(problem, board))
    out.print(cuts)
    out.print(Text(_verdict(result, seconds), style="bold"))


def _segments(problem: BoardProblem, board: BoardCut) -> str:
    return "; ".join(
        f"{units.format_length(segment.length, problem.system, denominator=64, feet=True)}: {', '.join(segment.blanks)}"
        for segment in board.segments
    )


def _verdict(result: CuttingResult, seconds: float) -> str:
    boards = counted(len(result.plan.boards), "board")
    if result.status == "optimal":
        how = "proven: no plan costs less"
    else:
        how = f"no plan costs less than {result.bound_cents / 100:,.2f}, so at most {result.gap:.1%} could be saved"
    return f"{boards}, {result.cost_cents / 100:,.2f}; {how} ({seconds:.1f} s)"
