"""What the page of a finished project shows, in a maker's words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference
from journal.desk.closing import Loose
from journal.quote.review import Cause
from journal.records.words import FINISHED, ProjectState
from journal.web import filters, state
from journal.web.review import steps
from journal.web.review.because import because
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Mapping

    from journal.desk.closing import Closing, LooseEnd
    from journal.desk.photos import Hung
    from journal.desk.review import Days, Money, Review
    from journal.desk.review_actual import MaterialLine
    from journal.quote.review import Step, Used
    from journal.quote.review_hours import Piece
    from journal.records.queries.log import EntryRow
    from journal.records.queries.notes import NoteRow
    from journal.records.queries.projects import ProjectRow
    from journal.web.review.aside import AsideBox
    from journal.web.review.forms import AcceptForm, CloseForm, LessonForm

_SPEAKS = (*FINISHED, ProjectState.CANCELLED)

# Which way a step went decides what it is called: (left more, left less).
_EITHER_WAY = {
    Cause.BESIDE: (
        (
            "Quoted beside the plan",
            "cost that was quoted without a line in the plan to show for it, so nothing went there",
        ),
        ("Left out of the quote", "what the lines of the plan come to beyond the cost that was quoted"),
    ),
    Cause.AGREED: (
        ("Agreed beyond the plan", "more hours were agreed than the plan comes to"),
        (
            "Agreed short of the plan",
            "fewer hours were agreed than the plan comes to, so they were missing from the start",
        ),
    ),
}
_SAID = {
    Cause.EXTRAS: ("Extras", "what the client added or took away after agreeing"),
    Cause.QUANTITY: ("Quantity of material", "more or less used than quoted, at the quoted prices"),
    Cause.PRICE: ("Price of material", "dearer or cheaper than the price book of the quote, on what was used"),
    Cause.HOURS: ("Hours", "more or fewer than quoted, at the quoted rate"),
    Cause.RATE: ("Rate", "who put the hours in, at which wage"),
    Cause.OVERHEAD: ("Overhead", "what those hours had to carry"),
    Cause.MACHINES: ("Machines", "running hours"),
    Cause.REWORK: ("Work done again", "over or under the allowance for it"),
}


@dataclass(frozen=True, slots=True)
class StepLine:
    """A step, the same in words: `parts` are the kinds of material it is made of."""

    name: str
    why: str
    cents: int
    parts: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class PieceLine:
    """A piece of the work.

    Attributes:
        what: code of the operation or stage; name: as a maker says it; code: "" for a whole stage.
        inside: operations in it, where it is a stage.
        quoted, span, minutes: expected, eight times in ten, logged; "" for none.
        more_minutes: than expected.
        verdict: "inside", "over", "under", "not quoted", "nothing logged", "no range".
        cents: what the difference cost, wage and overhead; above zero dearer.
        notes: what was written beside its time.
        written: notes about it, about what is inside, or about its stage.
    """

    what: str
    name: str
    code: str
    inside: str
    quoted: str
    span: str
    minutes: str
    more_minutes: float
    verdict: str
    cents: int | None
    notes: tuple[EntryRow, ...]
    written: tuple[NoteRow, ...]


@dataclass(frozen=True, slots=True)
class StageLine:
    """A stage: minutes quoted and logged; first and last day and days with time on them, as text."""

    name: str
    quoted_minutes: float
    minutes: float
    days: str


@dataclass(frozen=True, slots=True)
class MoneyView:
    """Where the money went, laid out."""

    found: Money
    lines: tuple[StepLine, ...]
    wide: steps.StepsPicture
    narrow: steps.StepsPicture
    said: str
    used: tuple[Used, ...]
    materials: tuple[MaterialLine, ...]
    assumed: tuple[str, ...]
    left_out: tuple[str, ...]
    by_share: bool
    place: str


@dataclass(frozen=True, slots=True)
class ReviewPage:
    """What review/show.html receives.

    Attributes:
        project: which; why_not: nothing to review yet, and why; "" otherwise.
        unbelieved: why the figures cannot be believed yet, "" where they can.
        outcome: in one sentence; kind: of its notice.
        money: None where nothing is known of what was promised.
        source: what that is; kept: it was kept at the time.
        noise: how many pieces fell inside, and what that means; beside: what lies in no piece.
        pieces: surprises first; asides: how each stands with learning; hung: number of a note → its photos.
        stages: hours by stage and their days; all_hours: together; days: the project's.
        rework_minutes: done again.
        closing: loose ends and lessons, with their forms.
    """

    project: ProjectRow
    why_not: str
    unbelieved: str
    outcome: str
    kind: str
    money: MoneyView | None
    source: str
    kept: bool
    noise: str
    beside: str
    surprises: tuple[PieceLine, ...]
    others: tuple[PieceLine, ...]
    hung: Mapping[int, tuple[Hung, ...]]
    asides: Mapping[str, AsideBox]
    stages: tuple[StageLine, ...]
    all_hours: StageLine | None
    days: Days | None
    late: str
    rework_minutes: float
    closing: Closing | None
    lesson: LessonForm
    accept: tuple[tuple[LooseEnd, AcceptForm], ...]
    close: CloseForm


def speaks_of(state: ProjectState) -> bool:
    """Whether there is anything to look back on."""
    return state in _SPEAKS


def why_not(state: ProjectState) -> str:
    """When this page speaks, for a project that is not there yet."""
    if state in (ProjectState.DECLINED, ProjectState.LAPSED):
        return "It was never built, so there is nothing to hold against the quote."
    return (
        "Once the job is delivered, this page says where the money and the hours went, and what of it was only noise."
    )


def unbelieved(found: Review, closing: Closing) -> str:
    """What the figures are not to be believed without, named with its largest stage first; "" where nothing is missing.

    What somebody accepted as it is, with a reason, is not missing.
    """
    ends = {end.what: end for end in closing.open_ends}
    if Loose.NO_HOURS in ends:
        return "no hours are logged"
    if Loose.STAGES not in ends:
        return ""
    planned = found.hours.by_stage()
    first, *more = sorted(ends[Loose.STAGES].stages, key=lambda stage: -planned.get(stage, (0.0, 0.0))[0])
    if not more:
        return f"{work_name(first)} has no hours"
    return f"{work_name(first)} and {counted(len(more), 'more stage')} have no hours"


def outcome(found: Review, *, believed: bool = True) -> tuple[str, str]:
    """Profit, earned an hour against the promise, days late: one sentence, and the kind of its notice.

    Where hours are missing (not `believed`) no cause is named for what came of it, nor is it called good.
    """
    money = found.money
    if money is None:
        logged = filters.hours(found.hours.minutes + found.rework_minutes)
        return (
            f"{logged} went into it; nothing is known of what was promised, so there is nothing to hold them against.",
            "",
        )
    made = money.bridge.made_cents
    if not found.priced:
        return f"It cost {filters.money(money.cost_cents)}; no price was ever agreed.", "care"
    head = "It left" if made >= 0 else "It lost"
    against = (
        f" of {filters.money(money.bridge.expected_cents)} expected"
        if made >= 0
        else f" where {filters.money(money.bridge.expected_cents)} was expected to be left"
    )
    said = f"{head} {filters.money(abs(made))}{against}{_earned(money)}; {late_words(found.days)}."
    if not believed:
        return f"By what is logged so far, {said[0].lower()}{said[1:]}", "care"
    said = f"{said} {because(money.bridge)}".rstrip()
    return said, "good" if made >= 0 and made >= money.bridge.expected_cents // 2 else "care"


def _earned(money: Money) -> str:
    made, expected = money.made.cents_per_hour, money.expected.cents_per_hour
    if made is None:
        return "; no hours are logged"
    promised = f", {filters.money(expected)} by the quote" if expected is not None else ""
    return f", and earned {filters.money(made)} an hour{promised}"


def late_words(days: Days) -> str:
    """How it stood against the promised day."""
    late = days.late
    if late is None:
        return "no day had been promised" if days.promised_on is None else "it has no day of delivery"
    if late == 0:
        return "delivered on the promised day"
    return f"delivered {counted(abs(late), 'day')} {'late' if late > 0 else 'early'}"


def money_view(found: Money, *, believed: bool) -> MoneyView:
    """The steps as table and pictures; `believed`: no hours are missing that the plan has."""
    made = "Made" if believed else "Made, hours missing"
    lines = tuple(_step_line(found, step) for step in found.bridge.by_cause)
    amounts = (
        steps.Amount("Expected", found.bridge.expected_cents, filters.money(found.bridge.expected_cents), whole=True),
        *(steps.Amount(line.name, line.cents, signed(line.cents), whole=False) for line in lines),
        steps.Amount(made, found.bridge.made_cents, filters.money(found.bridge.made_cents), whole=True),
    )
    said = "; ".join(f"{amount.label} {amount.text}" for amount in amounts)
    materials = found.materials
    return MoneyView(
        found=found,
        lines=lines,
        wide=steps.draw(amounts, 720.0),
        narrow=steps.draw(amounts, 328.0),
        said=f"From the profit expected to the profit made: {said}.",
        used=tuple(one for one in materials.used if one.quoted_cents or one.cents),
        materials=materials.lines,
        assumed=materials.assumed,
        left_out=materials.left_out,
        by_share=materials.by_share,
        place=_place(found) if believed else "",
    )


def signed(cents: int) -> str:
    """An amount with its sign."""
    return f"{'+' if cents > 0 else '−' if cents < 0 else ''}{filters.money(abs(cents))}"


def _step_line(found: Money, step: Step) -> StepLine:
    if step.cause in _EITHER_WAY:
        name, why = _EITHER_WAY[step.cause][step.cents < 0]
    else:
        name, why = _SAID[step.cause]
    if step.cause is Cause.HOURS and found.bridge.of(Cause.AGREED):
        why = "more or fewer than the plan came to, at the quoted rate"
    parts = tuple(one for one in found.bridge.steps if one.cause is step.cause and one.name)
    return StepLine(name, why, step.cents, parts)


def _place(found: Money) -> str:
    share, agreed = found.place, found.bridge.of(Cause.AGREED)
    if share <= 0.0:
        return "The cost fell below everything the quote thought possible."
    if share >= 1.0:
        return "The cost went beyond everything the quote thought possible."
    said = f"Of the ways the quote thought the cost could go, {round(100 * share)} in 100 are cheaper than this"
    if 0.1 <= share <= 0.9:
        whole = (
            f"all but what was agreed {'beyond' if agreed > 0 else 'short of'} the plan"
            if agreed
            else "the whole difference"
        )
        return f"{said}: inside the range it falls in eight times in ten, so {whole} may be noise."
    return f"{said}: outside the range it falls in eight times in ten."


def noise(found: Review) -> str:
    """How many pieces fell inside their range, and what that means."""
    judged, out = found.hours.judged, found.hours.surprises
    if not judged:
        return "No piece of the work has both a range and hours, so nothing can be called a surprise."
    expected = round(0.2 * judged)
    said = f"{judged - out} of {counted(judged, 'piece')} of work fell inside the range predicted eight times in ten: that is noise, no reason to change anything."
    if not out:
        return said
    few = "about as many as chance alone puts there" if out <= expected + 1 else "more than chance alone puts there"
    return f"{said} {counted(out, 'piece')} fell outside, {few} ({expected} of {judged})."


def piece_lines(
    found: Review, written: Mapping[str, tuple[NoteRow, ...]]
) -> tuple[tuple[PieceLine, ...], tuple[PieceLine, ...]]:
    """The surprises, and the rest; `written`: the notes about each operation and stage."""
    placed = _placed(found, written)
    lines = [(piece, _piece(found, piece, placed)) for piece in found.hours.pieces]
    return tuple(line for piece, line in lines if piece.surprise), tuple(
        line for piece, line in lines if not piece.surprise
    )


def _placed(found: Review, written: Mapping[str, tuple[NoteRow, ...]]) -> dict[str, tuple[NoteRow, ...]]:
    """Name of a piece → the notes to show beside it: its own, else of what it holds, or of its stage."""
    placed: dict[str, tuple[NoteRow, ...]] = {}
    for code, rows in written.items():
        own = next((one for one in found.hours.pieces if one.name == code), None)
        holding = next((one for one in found.hours.pieces if code in one.inside or one.stage == code), None)
        if piece := own or holding:
            placed[piece.name] = (*placed.get(piece.name, ()), *rows)
    return placed


def _piece(found: Review, piece: Piece, written: Mapping[str, tuple[NoteRow, ...]]) -> PieceLine:
    promised = found.promised
    an_hour = (
        (promised.wage_cents + promised.overhead_cents) / promised.minutes if promised and promised.minutes else None
    )
    ranged = piece.low is not None and piece.high is not None
    return PieceLine(
        what=piece.name,
        name=work_name(piece.name) + (", the whole stage" if piece.name == piece.stage else ""),
        code=piece.name if piece.name in state.book() else "",
        inside=", ".join(work_name(code) for code in piece.inside) if piece.name == piece.stage else "",
        quoted=filters.minutes(piece.quoted_minutes) if piece.quoted_minutes else "",
        span=f"{filters.minutes(piece.low or 0)} to {filters.minutes(piece.high or 0)}" if ranged else "",
        minutes=filters.minutes(piece.minutes) if piece.minutes else "",
        more_minutes=piece.more_minutes,
        verdict=_verdict(piece),
        cents=round(an_hour * piece.more_minutes) if an_hour is not None else None,
        notes=found.notes.get(piece.name, ()),
        written=written.get(piece.name, ()),
    )


def _verdict(piece: Piece) -> str:
    if piece.unlogged:
        return "nothing logged"
    if not piece.quoted_minutes:
        return "not quoted"
    if not piece.judged:
        return "no range"
    if not piece.surprise:
        return "inside"
    return "over" if piece.more_minutes > 0 else "under"


def work_name(code: str) -> str:
    """An operation or a stage as a maker says it; a step of the maker's own by its own name."""
    entry, stage = state.book().get(code), reference.stages().get(code)
    return entry.name if entry else stage.name if stage else code


def stage_lines(found: Review) -> tuple[StageLine, ...]:
    """Hours by stage in the order of work, with the days they fell on."""
    days = {one.stage: one for one in found.days.stages}
    hours = found.hours.by_stage()
    order = list(reference.stages())
    stages = sorted(hours, key=lambda stage: order.index(stage) if stage in order else len(order))
    lines = tuple(
        StageLine(
            work_name(stage),
            *hours[stage],
            f"{filters.day(days[stage].first_on)} to {filters.day(days[stage].last_on)}, {counted(days[stage].days, 'day')} with time"
            if stage in days
            else "",
        )
        for stage in stages
    )
    return (*lines, *_beside_stages(found))


def _beside_stages(found: Review) -> tuple[StageLine, ...]:
    """What lies in no stage, so that the lines come to the hours the money is reckoned by."""
    again, beside = found.promised.rework_minutes if found.promised else 0.0, found.beside_minutes
    lines = (
        StageLine("Allowance for what nobody plans", found.hours.allowance_minutes, 0.0, ""),
        StageLine(f"Agreed {'beyond' if beside > 0 else 'short of'} the plan", beside, 0.0, ""),
        StageLine("Work done again", again, found.rework_minutes, ""),
    )
    return tuple(line for line in lines if abs(line.quoted_minutes) >= 1 or line.minutes)


def all_hours(found: Review) -> StageLine:
    """The lines of the stages and beside them, together."""
    quoted = found.promised.minutes if found.promised else 0.0
    return StageLine("Together", quoted, found.hours.minutes + found.rework_minutes, "")


def beside(found: Review) -> str:
    """What of the difference in hours lies in no piece of work; "" where it does not show."""
    if not found.promised or abs(found.beside_minutes) < 60:
        return ""
    hours, fewer = filters.hours(abs(found.beside_minutes)), found.beside_minutes < 0
    cents = found.money.bridge.of(Cause.AGREED) if found.money else 0
    took = f", which by itself {'took' if cents < 0 else 'brought'} {filters.money(abs(cents))}" if cents else ""
    return f"{hours} {'fewer' if fewer else 'more'} were agreed than the plan came to{took}; that lies in no piece of the work."


def acceptable(
    closing: Closing, form: type[AcceptForm], refused: tuple[str, AcceptForm] | None
) -> tuple[tuple[LooseEnd, AcceptForm], ...]:
    """Each loose end with its box."""

    def box(what: str) -> AcceptForm:
        if refused and refused[0] == what:
            return refused[1]
        return form(formdata=None, prefix=what)

    return tuple((end, box(end.what.value)) for end in closing.ends)
