"""How well the paces would have guessed: past projects in the order they were agreed, each from what was known then.

A project is guessed on the day it was agreed, at the quantities quoted, from the projects finished by that day. What was
done again is left out on both sides, and so are planned operations that were never logged. What it took includes work
nobody planned; the guess includes as much of it as earlier projects had. Three plain rivals guess the same projects.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from journal.errors import BadInput
from journal.pace import integrate
from journal.pace.design import half_year
from journal.pace.model import fit
from journal.pace.ratios import Kind, Learned, Seen, learn
from journal.pace.score import Score, crps, score
from journal.working import counted

if TYPE_CHECKING:
    from datetime import date

    from journal.pace.design import Row
    from journal.pace.model import Book, Calibration, Integrator, Task
    from journal.pace.normal import Floats

PACES = "these paces"
BOOK, LAST, AVERAGE = RIVALS = ("starting book", "last similar project", "plain average")
SHARES = (5, 10, 25, 50, 75, 90, 95)
_DRAWS = 2_000
_FEW = 40  # learn anew for every guess while no more projects are known than this …
_NEWS = 10  # … then when one in so many of them is news
_TOO_CLOSE = 2.0  # standard errors
_LEAST_TO_TELL = 5

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Past:
    """A finished project, as it was quoted and as it went.

    Args:
        code, title: which.
        likeness: what makes it similar to another, such as its design; "" for nothing in particular.
        benches: how many alike, ≥ 1.
        quoted_on: the day it was agreed.
        finished_on: the day its last hours were known.
        tasks: the work as quoted, as far as it was logged; at least one.
        minutes: what it took, > 0; what was done again and what is set aside left out.
        planned_minutes: the part of it that was planned, at the quantities quoted, > 0.
        rows: its evidence, at the quantities built.
        as_built: nobody knows what was quoted, and the quantities are those built: such a project is guessed without
            what nobody planned, and tells nothing about it.
    """

    code: str
    title: str
    likeness: str
    benches: int
    quoted_on: date
    finished_on: date
    tasks: tuple[Task, ...]
    minutes: float
    planned_minutes: float
    rows: tuple[Row, ...]
    as_built: bool = False

    def __post_init__(self) -> None:
        if not self.tasks:
            raise BadInput(f"project {self.code}", "", "at least one planned operation that was logged")
        for word, value in (("minutes", self.minutes), ("planned minutes", self.planned_minutes)):
            if not (math.isfinite(value) and value > 0):
                raise BadInput(f"{word} of {self.code}", value, "a finite number above zero")
        if self.benches < 1:
            raise BadInput(f"benches of {self.code}", self.benches, "1 or more")

    @property
    def book_minutes(self) -> float:
        """What was quoted, by the starting book."""
        return sum(task.baseline_minutes for task in self.tasks)


@dataclass(frozen=True, slots=True)
class Guess:
    """One project, guessed before it was begun.

    Attributes:
        code, title, quoted_on: which.
        known: projects finished by then.
        minutes: percentile → minutes guessed, by `SHARES`.
        actual_minutes: what it took.
        place: share of the draws at or below that; even from 0 to 1 where the ranges are honest.
        crps_minutes: continuous ranked probability score.
        rivals: rival → its minutes; a rival with nothing to go by is not there.
        as_built: guessed at the quantities built, for want of those quoted.
    """

    code: str
    title: str
    quoted_on: date
    known: int
    minutes: dict[int, float]
    actual_minutes: float
    place: float
    crps_minutes: float
    rivals: dict[str, float]
    as_built: bool = False

    @property
    def miss(self) -> float:
        """How far the middle guess lay above (+) or below (−) what it took, as a share of it."""
        return self.minutes[50] / self.actual_minutes - 1.0


@dataclass(frozen=True, slots=True)
class Comparison:
    """The paces beside one rival, over the projects both could guess.

    Attributes:
        rival: which.
        nearer: how often the paces' middle guess was the nearer one.
        gain: mean of |ln(rival ÷ actual)| − |ln(paces ÷ actual)|; above zero the paces are nearer.
        gain_error: its standard error; None for fewer than two projects.
        verdict: "ahead", "behind" or "too close to call"; whether the middle guesses differ by more than luck.
        wins_median: the rival's middle miss is smaller.
        wins_score: the rival's score is smaller.
    """

    rival: str
    nearer: int
    gain: float
    gain_error: float | None
    verdict: str
    wins_median: bool
    wins_score: bool


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A finished project that could not be tested, and why."""

    code: str
    why: str


@dataclass(frozen=True, slots=True)
class Backtest:
    """How well the shop's paces would have guessed.

    Attributes:
        guesses: in the order of the days they were agreed.
        paces: their score over all of those; None for none.
        table: the paces, then the rivals, over the projects all of them could guess; empty for none.
        comparisons: the paces beside each rival.
        said: the result in plain sentences.
        left_out: finished projects that could not be tested.
    """

    guesses: tuple[Guess, ...]
    paces: Score | None
    table: tuple[Score, ...]
    comparisons: tuple[Comparison, ...]
    said: tuple[str, ...]
    left_out: tuple[LeftOut, ...]


def run(
    past: Sequence[Past],
    book: Book,
    *,
    left_out: Sequence[LeftOut] = (),
    integrator: Integrator = integrate.QUICK,
    draws: int = _DRAWS,
    progress: Progress | None = None,
) -> Backtest:
    """Walk through the projects and judge the guesses.

    Args:
        past: finished projects, in any order; may be empty.
        book: the starting book.
        left_out: carried along to be shown.
        integrator: of the paces.
        draws: of each guess.
        progress: told (done, of how many) after each guess.
    """
    guesses = []
    for guess in walk(past, book, integrator=integrator, draws=draws):
        guesses.append(guess)
        if progress:
            progress(len(guesses), len(past))
    return judge(guesses, left_out)


def walk(
    past: Sequence[Past], book: Book, *, integrator: Integrator = integrate.QUICK, draws: int = _DRAWS
) -> Iterator[Guess]:
    """Guess after guess, in the order the projects were agreed; arguments as of `run`.

    The paces are learnt anew for each guess while at most 40 projects are known; after that when a tenth of them is
    news, or the half-year is, so that a guess rests on a little less than was known, never on more.
    """
    ordered = sorted(past, key=lambda one: (one.quoted_on, one.code))
    learner = _Learner(tuple(sorted(past, key=lambda one: (one.finished_on, one.code))), book, integrator)
    for place, project in enumerate(ordered):
        yield _guess(project, learner, draws, place)


def judge(guesses: Sequence[Guess], left_out: Sequence[LeftOut] = ()) -> Backtest:
    """How good some guesses were, beside the rivals; they may be the first of a longer walk."""
    shared = [guess for guess in guesses if len(guess.rivals) == len(RIVALS)]
    table = _table(shared)
    comparisons = tuple(_compare(rival, shared, table) for rival in RIVALS) if shared else ()
    own = _own_score(guesses) if guesses else None
    said = _say(own, table, comparisons)
    return Backtest(tuple(guesses), own, table, comparisons, said, tuple(left_out))


@dataclass(slots=True)
class _Learner:
    """What was known on a day; days only go forward."""

    by_finish: tuple[Past, ...]
    book: Book
    integrator: Integrator
    known: list[Past] = field(default_factory=list)
    _fitted: int = -1
    _half: int = 0
    _paces: Calibration | None = None
    _unplanned: Learned | None = None

    def upto(self, day: date) -> tuple[Calibration, Learned]:
        while len(self.known) < len(self.by_finish) and self.by_finish[len(self.known)].finished_on <= day:
            self.known.append(self.by_finish[len(self.known)])
        news = len(self.known) - self._fitted
        enough = 1 if len(self.known) <= _FEW else len(self.known) // _NEWS
        stale = news >= enough or half_year(day) != self._half
        if self._paces is None or self._unplanned is None or stale:
            rows = [row for one in self.known for row in one.rows]
            self._paces = fit(rows, self.book, today=day, integrator=self.integrator)
            self._unplanned = learn(
                Kind.UNPLANNED, [unplanned(one) for one in self.known if not one.as_built], today=day
            )
            self._fitted, self._half = len(self.known), half_year(day)
        return self._paces, self._unplanned


def unplanned(project: Past) -> Seen:
    """What a project took beside what was planned of it."""
    return Seen(project.code, project.finished_on, "hours", "hours", project.planned_minutes, project.minutes)


def _guess(project: Past, learner: _Learner, draws: int, seed: int) -> Guess:
    paces, beside = learner.upto(project.quoted_on)
    total = paces.draw(project.tasks, draws, seed).total
    if not project.as_built:
        total = total * _beside(beside, draws, seed)
    shares = np.quantile(total, np.array(SHARES) / 100)
    return Guess(
        code=project.code,
        title=project.title,
        quoted_on=project.quoted_on,
        known=len(learner.known),
        minutes=dict(zip(SHARES, shares.tolist(), strict=True)),
        actual_minutes=project.minutes,
        place=float(np.mean(total <= project.minutes)),
        crps_minutes=crps(total, project.minutes),
        rivals=_rivals(project, learner.known),
        as_built=project.as_built,
    )


def _beside(learned: Learned, draws: int, seed: int) -> Floats:
    """Draws of all minutes ÷ planned minutes, shape (draws,); ones while nothing is known."""
    factor = learned.factor()
    if factor is None:
        return np.ones(draws)
    middle = math.log(factor.mean) - 0.5 * factor.sd**2
    return np.asarray(np.exp(middle + factor.sd * np.random.default_rng([seed, 1]).standard_normal(draws)))


def _rivals(project: Past, known: Sequence[Past]) -> dict[str, float]:
    """What one would say without these sums; `known` is in the order it was finished."""
    found = {BOOK: project.book_minutes}
    if known:
        alike = [one for one in known if one.likeness == project.likeness]
        last = (alike or known)[-1]
        found[LAST] = last.minutes / last.benches * project.benches
        found[AVERAGE] = float(np.mean([one.minutes / one.benches for one in known])) * project.benches
    return found


def _own_score(guesses: Sequence[Guess]) -> Score:
    return score(
        PACES,
        [guess.minutes[50] for guess in guesses],
        [guess.actual_minutes for guess in guesses],
        scores=[guess.crps_minutes for guess in guesses],
        places=[guess.place for guess in guesses],
    )


def _table(shared: Sequence[Guess]) -> tuple[Score, ...]:
    if not shared:
        return ()
    actual = [guess.actual_minutes for guess in shared]
    rivals = [score(rival, [guess.rivals[rival] for guess in shared], actual) for rival in RIVALS]
    return (_own_score(shared), *rivals)


def _compare(rival: str, shared: Sequence[Guess], table: Sequence[Score]) -> Comparison:
    own = np.array([abs(math.log(guess.minutes[50] / guess.actual_minutes)) for guess in shared])
    other = np.array([abs(math.log(guess.rivals[rival] / guess.actual_minutes)) for guess in shared])
    gains = other - own
    error = float(gains.std(ddof=1) / math.sqrt(len(gains))) if len(gains) > 1 else None
    gain = float(gains.mean())
    told = error is not None and len(gains) >= _LEAST_TO_TELL and abs(gain) > _TOO_CLOSE * error
    verdict = ("ahead" if gain > 0 else "behind") if told else "too close to call"
    by_name = {one.name: one for one in table}
    return Comparison(
        rival=rival,
        nearer=int(np.sum(gains > 0)),
        gain=gain,
        gain_error=error,
        verdict=verdict,
        wins_median=by_name[rival].median_error < by_name[PACES].median_error,
        wins_score=by_name[rival].crps_share < by_name[PACES].crps_share,
    )


def _say(own: Score | None, table: Sequence[Score], comparisons: Sequence[Comparison]) -> tuple[str, ...]:
    if own is None:
        return ("No finished project to test on yet.",)
    said = [_say_own(own), _say_held(own)]
    if not comparisons:
        return (*said, "The rivals had nothing to go by yet.")
    by_name = {one.name: one for one in table}
    return (*said, *(_say_rival(one, by_name[PACES], by_name[one.rival]) for one in comparisons))


def _say_own(own: Score) -> str:
    lean = "too high" if own.bias > 0 else "too low"
    return (
        f"Over {counted(own.projects, 'project')} the middle guess was {own.median_error:.0%} off, "
        f"as often more as less; on average {abs(own.bias):.0%} {lean}."
    )


def _say_held(own: Score) -> str:
    held = ", ".join(f"{share:.0%} in the {width}% range" for width, share in own.held)
    return f"What it took lay inside: {held}."


def _say_rival(found: Comparison, paces: Score, rival: Score) -> str:
    both = f"{rival.median_error:.0%} off against {paces.median_error:.0%}"
    how_often = f"the paces were nearer in {found.nearer} of {paces.projects}"
    luck = "" if found.verdict != "too close to call" else "; so few projects cannot tell that from luck"
    if not (found.wins_median or found.wins_score or found.verdict == "behind"):
        return f"The {found.rival} guessed worse: {both}; {how_often}{luck}."
    if found.wins_median or found.verdict == "behind":
        scored = "" if found.wins_score else "; with their ranges counted the paces are ahead"
        return f"The {found.rival} wins here: {both}; {how_often}{luck}{scored}."
    return (
        f"The {found.rival} was further off, {both}, but scores better than the paces with their ranges; {how_often}."
    )
