"""How well the paces would have guessed, as tables on a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from journal import units
from journal.cli.show import console_for, table_for
from journal.pace.backtest import RIVALS
from journal.pace.explain import signed

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from journal.pace.backtest import Backtest, Guess
    from journal.pace.score import Score


def show_backtest(found: Backtest, console: Console | None = None) -> None:
    """Every project guessed, the scores beside the rivals', and the result in words."""
    out = console or console_for()
    if found.guesses:
        out.print(_projects(found))
    if found.table:
        out.print(_scores(found))
    for sentence in found.said:
        out.print(Text(sentence))
    for one in found.left_out:
        out.print(Text(f"Left out: {one.code}, {one.why}"))


def _projects(found: Backtest) -> Table:
    table = table_for(
        "Each project as it would have been guessed when it was agreed, in hours; work done again left out",
        ("project", "left"),
        ("agreed", "right"),
        ("known", "right"),
        ("8 in 10", "right"),
        ("middle", "right"),
        ("took", "right"),
        ("miss", "right"),
        ("book", "right"),
        ("last", "right"),
        ("average", "right"),
    )
    for guess in found.guesses:
        table.add_row(*_guess(guess))
    return table


def _guess(guess: Guess) -> list[str]:
    low, half, high = (f"{guess.minutes[share] / 60:.0f}" for share in (10, 50, 90))
    rivals = [f"{guess.rivals[rival] / 60:.0f}" if rival in guess.rivals else "–" for rival in RIVALS]
    took = units.format_hours(guess.actual_minutes).removesuffix(" h")
    day = guess.quoted_on.isoformat()
    return [guess.code, day, f"{guess.known}", f"{low} – {high}", half, took, signed(guess.miss), *rivals]


def _scores(found: Backtest) -> Table:
    table = table_for(
        f"Beside plain rivals, over the {found.table[0].projects} projects all of them could guess",
        ("", "left"),
        ("lean", "right"),
        ("middle miss", "right"),
        ("score", "right"),
        ("in 50%", "right"),
        ("in 80%", "right"),
        ("in 90%", "right"),
    )
    for score in found.table:
        table.add_row(*_score(score))
    return table


def _score(score: Score) -> list[str]:
    held = [f"{share:.0%}" for _, share in score.held] or ["–"] * 3
    return [score.name, signed(score.bias), f"{score.median_error:.0%}", f"{score.crps_share:.3f}", *held]
