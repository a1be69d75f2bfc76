"""What the page of the guesses shows: the verdict, the paces beside their rivals, and every past project."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.pace.backtest import AVERAGE, BOOK, LAST
from journal.pace.explain import signed
from journal.web import figures, filters
from journal.web.paces.bars import WIDTH, Bar, Mark, Scale, scale_of
from journal.web.state import in_marks
from journal.working import Spread, counted

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from journal.desk.backtest_walks import Standing
    from journal.pace.backtest import Backtest, Comparison, Guess, LeftOut
    from journal.pace.score import Score

NEWEST = 40  # projects shown before the rest is asked for
_RIVAL_WORDS = {BOOK: "Starting book", LAST: "Last similar project", AVERAGE: "Plain average"}


@dataclass(frozen=True, slots=True)
class Running:
    """A back-test under way: so many of so many projects guessed."""

    done: int
    of: int


@dataclass(frozen=True, slots=True)
class ScoreLine:
    """One way of guessing: its name, how it leans, its middle miss, its score, how often its ranges held."""

    name: str
    own: bool
    lean: str
    miss: str
    score: str
    held: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GuessLine:
    """One past project.

    Attributes:
        code, title: which; title '' when it says no more.
        quoted_on, known: the day it is guessed on, and the projects finished by then.
        bar: the range, eight in ten, in times the middle guess; took: where what it took lies on it.
        held: it lies inside.
        said: the bar in words.
        low, high, middle, actual: hours.
        miss: how far off the middle was.
        rivals: their hours, '–' for one with nothing to go by.
        as_built: guessed at the quantities built.
    """

    code: str
    title: str
    quoted_on: date
    known: int
    bar: Bar
    took: float
    held: bool
    said: str
    low: str
    high: str
    middle: str
    actual: str
    miss: str
    rivals: tuple[str, ...]
    as_built: bool


@dataclass(frozen=True, slots=True)
class GuessPage:
    """What paces/guesses.html receives.

    Attributes:
        running: how far it is; None when it is through.
        stopped: how far it was when somebody stopped it, or None.
        failed: it broke off.
        verdict: the result against the rivals in a sentence, and whether it is good; None while there is none.
        said: how near the guesses came, in sentences.
        beaten, ahead: what each rival did: those that win here, those that do not.
        score: the middle miss, and the share that eight in ten held; '' for no project yet.
        projects, compared: how many were guessed, and on how many the rivals are compared.
        table: the paces and their rivals.
        lines: projects, the newest first; more: how many are not shown.
        marks, width: the scale of the bars.
        built: how many were guessed at the quantities built.
        left_out: finished projects that cannot be tested, and why.
    """

    running: Running | None
    stopped: Running | None
    failed: bool
    verdict: tuple[str, bool] | None
    said: tuple[str, ...]
    beaten: tuple[str, ...]
    ahead: tuple[str, ...]
    score: str
    held: str
    projects: int
    compared: int
    table: tuple[ScoreLine, ...]
    lines: tuple[GuessLine, ...]
    more: int
    marks: tuple[Mark, ...]
    width: float
    built: int
    left_out: tuple[LeftOut, ...]


def guess_page(standing: Standing, *, whole: bool) -> GuessPage:
    """The page, as far as the back-test is; `whole` asks for every project."""
    found = standing.found
    ordered = found.guesses[::-1]
    shown = ordered if whole else ordered[:NEWEST]
    scale = scale_of([span for guess in shown for span in (_span(guess), _point(guess))])
    told = list(zip(found.comparisons, found.said[len(found.said) - len(found.comparisons) :], strict=True))
    told = [] if standing.running else told  # the rivals are judged on all projects, not on the oldest few
    held = dict(found.paces.held) if found.paces else {}
    return GuessPage(
        running=running(standing),
        stopped=Running(standing.done, standing.of) if standing.stopped else None,
        failed=standing.failed,
        verdict=None if standing.running else _verdict(found),
        said=found.said[: len(found.said) - len(found.comparisons)],
        beaten=tuple(sentence for rival, sentence in told if _wins(rival)),
        ahead=tuple(sentence for rival, sentence in told if not _wins(rival)),
        score=_percent(found.paces.median_error) if found.paces else "",
        held=_percent(held[80]) if found.paces else "",
        projects=len(found.guesses),
        compared=found.table[0].projects if found.table else 0,
        table=() if standing.running else tuple(_score_line(place, one) for place, one in enumerate(found.table)),
        lines=tuple(_line(guess, scale) for guess in shown),
        more=len(ordered) - len(shown),
        marks=scale.marks(one="guess"),
        width=WIDTH,
        built=sum(guess.as_built for guess in found.guesses),
        left_out=found.left_out,
    )


def running(standing: Standing) -> Running | None:
    """How far it is; None when it is through."""
    return Running(standing.done, standing.of) if standing.running else None


def _wins(rival: Comparison) -> bool:
    return rival.wins_median or rival.wins_score or rival.verdict == "behind"


def _verdict(found: Backtest) -> tuple[str, bool] | None:
    if not found.comparisons:
        return None
    winners = [_RIVAL_WORDS[one.rival].lower() for one in found.comparisons if _wins(one)]
    projects = counted(found.table[0].projects, "project")
    if winners:
        beat = "beats" if len(winners) == 1 else "beat"
        return f"Over {projects}, the {_listed(winners)} {beat} these paces on this shop’s own past.", False
    paces, *rivals = found.table
    near = min(rivals, key=lambda one: one.crps_share)
    by = 1 - paces.crps_share / near.crps_share
    best = f"the best of them, the {_RIVAL_WORDS[near.name].lower()}"
    return (
        f"Over {projects}, these paces beat all three rivals. Ranges counted, they are {_percent(by)} nearer than {best}.",
        True,
    )


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', the '.join(words[:-1])} and the {words[-1]}"


def _score_line(place: int, score: Score) -> ScoreLine:
    return ScoreLine(
        name=_RIVAL_WORDS.get(score.name, "These paces"),
        own=place == 0,
        lean=signed(score.bias),
        miss=_percent(score.median_error),
        score=in_marks(f"{score.crps_share:.3f}"),
        held=tuple(_percent(share) for _, share in score.held) or ("–", "–", "–"),
    )


def _span(guess: Guess) -> Spread:
    middle = guess.minutes[50]
    return Spread(guess.minutes[10] / middle, 1.0, guess.minutes[90] / middle)


def _point(guess: Guess) -> Spread:
    times = guess.actual_minutes / guess.minutes[50]
    return Spread(times, times, times)


def _line(guess: Guess, scale: Scale) -> GuessLine:
    low, middle, high = (guess.minutes[share] for share in (10, 50, 90))
    held = low <= guess.actual_minutes <= high
    took = filters.hours(guess.actual_minutes)
    span = f"{filters.hours(low)} to {filters.hours(high)}"
    return GuessLine(
        code=guess.code,
        title="" if guess.title == guess.code else guess.title,
        quoted_on=guess.quoted_on,
        known=guess.known,
        bar=scale.bar(_span(guess)),
        took=scale.x(guess.actual_minutes / middle),
        held=held,
        said=f"guessed {span}, took {took}, {'inside' if held else 'outside'}",
        low=_hours(low),
        high=_hours(high),
        middle=_hours(middle),
        actual=_hours(guess.actual_minutes),
        miss=signed(guess.miss),
        rivals=tuple(_hours(guess.rivals[name]) if name in guess.rivals else "–" for name in _RIVAL_WORDS),
        as_built=guess.as_built,
    )


def _hours(minutes: float) -> str:
    return figures.number(round(minutes / 60, 1 if minutes < 600 else 0))


def _percent(share: float) -> str:
    return f"{round(100 * share)} %"
