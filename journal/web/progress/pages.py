"""What the page of a project in build shows, in a maker's words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference, units
from journal.pace.progress import State
from journal.records.words import FINISHED, ProjectState
from journal.web import filters, state
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from journal.desk.earned_so_far import EarnedSoFar
    from journal.desk.progress import Dates, Whereabouts
    from journal.pace.progress import PieceForecast
    from journal.records.queries.projects import ProjectRow
    from journal.working import Line, Spread

_WATCH = 3  # pieces named as what to watch …
_WORTH_NAMING = 0.03  # … that bring at least so much of the doubt
_SPEAKS = (ProjectState.IN_BUILD, ProjectState.ON_HOLD)
_HEADS = {State.OPEN: "Open now", State.TO_COME: "Still to come", State.DONE: "Done"}
_LIKELY = 0.5
_WORTH_SAYING_MINUTES = 60.0


@dataclass(frozen=True, slots=True)
class PieceLine:
    """A piece of the work.

    Attributes:
        code: of the operation, or of the stage logged as a whole.
        name: as a maker says it; inside: its operations where it is a whole stage.
        explained: what moved its prediction, '' for a whole stage and for what is done.
        spent: so far, minutes; 0 for nothing.
        ends: in the end, eight times in ten; likely: its middle, minutes; '' and the time taken when it is done.
        doubt: its share of the doubt about the total; '' where it brings none.
        asked_done: counted as done because the reader said so.
    """

    code: str
    name: str
    inside: str
    explained: str
    spent: float
    ends: str
    likely: float
    doubt: str
    asked_done: bool


@dataclass(frozen=True, slots=True)
class PieceGroup:
    """The pieces in one state, with their heading; `asks`: the button for what the reader counts as done stands here."""

    state: str
    title: str
    note: str
    lines: tuple[PieceLine, ...]
    asks: bool


@dataclass(frozen=True, slots=True)
class PartOfEnd:
    """A row of what the likely hours in the end are made of: its name, tenths of hours, and what it is."""

    name: str
    tenths: int
    why: str

    @property
    def hours(self) -> str:
        """As the page writes hours."""
        return filters.hours(6 * self.tenths)


@dataclass(frozen=True, slots=True)
class Ahead:
    """A forecast, laid out.

    Attributes:
        kind: how it stands against what was agreed: "good", "care", "" for nothing agreed.
        more_minutes: than agreed, in the middle; below zero fewer.
        hours, left: ranges, eight times in ten between.
        made_of: what is still to come on top of the hours spent; with those it is the likely hours in the end.
        cost: the same in cents; None where the parts cannot be priced.
        spent_minutes: so far; beside, rework: the parts nobody planned and done again, minutes.
        left_middle, hours_middle: the middles, minutes.
        over_agreed: the chance of more hours than agreed; None when nothing was agreed.
        agreed_minutes: what was.
        quoted_cost_cents: as quoted; bought_cents, materials_cents: receipts, and what is counted for materials.
        dates: when the work may be through.
        week_minutes: this project's part of the shop's hours.
        so_far: how this project goes against what was expected, in words; '' while nothing is done.
        both: why it can go so and end so, where the two seem to gainsay each other; '' where they do not.
        earned: what the hours have brought so far, in words; earned_line: how that comes about, None where nothing is known.
        watch: what brings most doubt: name and share.
        groups: the work.
        own_left: minutes typed for steps of the maker's own still to come, '' for none.
        silent: operations without a log although later stages have begun.
        without_plan: what was logged and is not in the plan.
        done: what the reader counts as done.
    """

    kind: str
    more_minutes: float
    hours: str
    left: str
    made_of: tuple[PartOfEnd, ...]
    cost: Spread | None
    spent_minutes: float
    beside_minutes: float
    rework_minutes: float
    left_middle: float
    hours_middle: float
    over_agreed: float | None
    agreed_minutes: float | None
    quoted_cost_cents: int | None
    bought_cents: int
    materials_cents: int
    dates: Dates
    week_minutes: float
    so_far: str
    both: str
    earned: str
    earned_line: Line | None
    watch: tuple[tuple[str, str], ...]
    groups: tuple[PieceGroup, ...]
    own_left: str
    silent: tuple[str, ...]
    without_plan: tuple[str, ...]
    done: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AheadPage:
    """What progress/show.html receives: the forecast, or why there is none."""

    project: ProjectRow
    ahead: Ahead | None
    why_not: str


def speaks_of(state: ProjectState) -> bool:
    """Whether there is anything ahead to tell of."""
    return state in _SPEAKS


def not_yet(state: ProjectState) -> str:
    """When this page speaks, for a project that is not in build."""
    if state in FINISHED:
        return "This project is finished: nothing is ahead of it. While it was in build, this page said where it would end up."
    if state in (ProjectState.DECLINED, ProjectState.LAPSED, ProjectState.CANCELLED):
        return "This project is not being built, so nothing is ahead of it."
    return (
        "This page speaks once the project is in build: from then on it says, from the plan and the hours logged so far, "
        "where hours, cost and the last day will end up. Until then the Price tab has the whole of it."
    )


def ahead(found: Whereabouts, done: Collection[str], earned: EarnedSoFar | None) -> Ahead:
    """The forecast, laid out; `done` is what the reader counts as done."""
    over = found.over_agreed
    return Ahead(
        kind="" if over is None else "care" if over > _LIKELY else "good",
        more_minutes=found.minutes.p50 - (found.agreed_minutes or 0.0),
        hours=_span(found.minutes),
        left=_span(found.left),
        made_of=_made_of(found),
        cost=found.cost,
        spent_minutes=found.spent_minutes,
        beside_minutes=found.beside_minutes,
        rework_minutes=found.rework_minutes,
        left_middle=found.left.p50,
        hours_middle=found.minutes.p50,
        over_agreed=over,
        agreed_minutes=found.agreed_minutes,
        quoted_cost_cents=found.quoted_cost_cents,
        bought_cents=found.bought_cents,
        materials_cents=found.materials_cents,
        dates=found.finish,
        week_minutes=found.week_minutes,
        so_far=_so_far(found),
        both=both(found, earned),
        earned=earned_words(found, earned),
        earned_line=earned.line if earned else None,
        watch=_watch(found),
        groups=_groups(found, done),
        own_left=filters.minutes(found.own_left) if found.own_left else "",
        silent=tuple(work_name(code) for code in found.silent),
        without_plan=tuple(work_name(code) for code in found.without_plan),
        done=tuple(work_name(code) for code in done),
    )


def work_name(code: str) -> str:
    """An operation or a stage as a maker says it."""
    entry, stage = state.book().get(code), reference.stages().get(code)
    return entry.name if entry else stage.name if stage else code


def _so_far(found: Whereabouts) -> str:
    share = found.ending.so_far
    if share is None:
        return ""
    percent = round(100 * abs(share))
    if percent == 0:
        return "So far this project goes as this shop’s work usually does."
    more = "more" if share > 0 else "less"
    return (
        f"So far this project takes {percent} % {more} than this shop’s usual; what is to come is expected accordingly."
    )


def both(found: Whereabouts, earned: EarnedSoFar | None) -> str:
    """Faster than usual and yet over what was agreed, or slower and yet under it: what was agreed tells why."""
    pace, over, agreed = found.ending.so_far, found.over_agreed, found.agreed_minutes
    if pace is None or over is None or not agreed or not round(100 * pace) or (pace < 0) is not (over > _LIKELY):
        return ""
    beside = found.beside_minutes + found.rework_minutes
    if pace < 0 and beside >= found.minutes.p50 - agreed:
        return f"Both hold: {filters.hours(beside)} that nobody planned or that were done again stand on top of the planned work."
    fewer = "fewer" if pace < 0 else "more"
    said = f"Both hold: the {filters.hours(agreed)} agreed are {fewer} than this work usually takes here"
    short = (earned.plan_minutes or agreed) - agreed if earned else 0.0
    if abs(short) >= _WORTH_SAYING_MINUTES and (short > 0) is (pace < 0):
        said += f", {filters.hours(abs(short))} {'below' if short > 0 else 'above'} its own plan of that day"
    return f"{said}."


def _made_of(found: Whereabouts) -> tuple[PartOfEnd, ...]:
    """In whole tenths of hours, as the page shows them, so that the column adds up as it stands there.

    The allowance is what is left over: beside the factor for what nobody plans, the middle of a sum lies above the sum of
    the middles, as work runs long more often than short.
    """
    left = {
        state: _tenths(sum(one.left.p50 for one in found.ending.pieces if one.piece.state is state))
        for state in (State.OPEN, State.TO_COME)
    }
    own = _tenths(found.own_left)
    known = left[State.OPEN] + left[State.TO_COME] + own
    rest = _tenths(found.minutes.p50) - _tenths(found.spent_minutes) - known
    rows = (
        PartOfEnd(_HEADS[State.OPEN], left[State.OPEN], "likely, of what is begun"),
        PartOfEnd(_HEADS[State.TO_COME], left[State.TO_COME], "likely, of what is not begun"),
        PartOfEnd("Steps of your own", own, "as typed, each until its stage is over"),
        PartOfEnd("Allowance", rest, "what nobody plans, what is done again, and pieces that run long"),
    )
    return tuple(row for row in rows if row.tenths)


def _tenths(minutes: float) -> int:
    return round(minutes / 6)


def earned_words(found: Whereabouts, earned: EarnedSoFar | None) -> str:
    """What each unit of money spent on hours has brought, and what all hours cost at that pace; else why it cannot be told."""
    if earned is None:
        if not found.agreed_minutes:
            return "No hours were agreed, so there is no plan to hold the hours against."
        return "Nothing of the plan is logged yet; once it is, this says what the hours bring for their money."
    one = 10 ** max(state.display().currency.decimals, 2)
    brought = units.round_half_up(one * earned.index)
    more = earned.end_cents - earned.planned_cents
    against = f"{filters.money(abs(more))} {'more' if more > 0 else 'less'} than" if more else "the same as"
    return (
        f"Each {filters.money(one)} spent on hours has brought {filters.money(brought)} of the plan; "
        f"at that pace the hours cost {filters.money(earned.end_cents)} in the end, {against} agreed."
    )


def _watch(found: Whereabouts) -> tuple[tuple[str, str], ...]:
    best = [one for one in found.ending.by_doubt[:_WATCH] if one.share >= _WORTH_NAMING]
    return tuple((work_name(one.piece.name), f"{round(100 * one.share)} %") for one in best)


def _groups(found: Whereabouts, done: Collection[str]) -> tuple[PieceGroup, ...]:
    held = {state: [one for one in found.ending.pieces if one.piece.state is state] for state in _HEADS}
    asking = State.OPEN if held[State.OPEN] else State.DONE if done else None
    return tuple(
        PieceGroup(
            state=state.value.replace(" ", "-"),
            title=title,
            note=_note(state, held[state]),
            lines=tuple(_line(found, one, done) for one in held[state]),
            asks=state is asking,
        )
        for state, title in _HEADS.items()
        if held[state]
    )


def _note(state: State, pieces: Sequence[PieceForecast]) -> str:
    spent = filters.hours(sum(one.piece.logged_minutes for one in pieces))
    left = filters.hours(sum(one.left.p50 for one in pieces))
    if state is State.DONE:
        return f"{counted(len(pieces), 'piece')} of work, {spent}"
    if state is State.OPEN:
        return f"{spent} spent, about {left} to come"
    return f"{counted(len(pieces), 'piece')} of work, about {left}"


def _line(found: Whereabouts, one: PieceForecast, done: Collection[str]) -> PieceLine:
    piece = one.piece
    whole_stage = piece.name == piece.stage
    finished = piece.state is State.DONE
    return PieceLine(
        code=piece.name,
        name=f"{work_name(piece.name)}, the whole stage" if whole_stage else work_name(piece.name),
        inside=", ".join(work_name(code) for code, _ in piece.shares) if whole_stage else "",
        explained="" if whole_stage or finished else _sentence(found.explained[piece.name]),
        spent=piece.logged_minutes,
        ends="" if finished else f"{filters.minutes(one.minutes.p10)} to {filters.minutes(one.minutes.p90)}",
        likely=one.minutes.p50,
        doubt=f"{round(100 * one.share)} %" if not finished and round(100 * one.share) >= 1 else "",
        asked_done=finished and piece.name in done,
    )


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _span(minutes: Spread) -> str:
    """A range of hours: “41 – 58 h”."""
    return state.in_marks(f"{minutes.p10 / 60:,.0f} – {minutes.p90 / 60:,.0f} h")
