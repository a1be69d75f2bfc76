"""What the templates of the Designs section receive."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import units
from journal.build.design import Kind
from journal.build.design_parts import make
from journal.build.drawing import draw
from journal.build.parts import Along
from journal.errors import JournalError
from journal.web.drawings import bench_figure, thumbnail
from journal.web.state import display, in_marks
from journal.working import counted

if TYPE_CHECKING:
    from journal.build.design import Design
    from journal.build.parts import Part
    from journal.desk.ballpark import Ballpark
    from journal.desk.designs import Entry, Tried
    from journal.errors import Problem
    from journal.quote.estimate import Estimate
    from journal.web.designs.forms import BallparkForm, BeginForm, FileForm, SizeForm, TextForm
    from journal.web.drawings import BenchFigure, Sheet


@dataclass(frozen=True, slots=True)
class Card:
    """A design on the shelf: its small drawing at its usual size (None where it cannot be read), and its reach."""

    entry: Entry
    picture: Sheet | None
    reach: str


@dataclass(frozen=True, slots=True)
class ShelfPage:
    """What designs/index.html receives: the shop's own, those that came with the journal, those put away."""

    own: tuple[Card, ...]
    shipped: tuple[Card, ...]
    away: tuple[Entry, ...]
    form: FileForm
    faults: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class PartLine:
    """A part as it is read: how many strips in words, features in words."""

    part: Part
    strips: str
    features: str


@dataclass(frozen=True, slots=True)
class Result:
    """What a design comes to with the choices made.

    Attributes:
        tried: the bench, or what stands in its way.
        figure: its drawing.
        parts: its parts; pieces: how many pieces they are in one bench.
        estimate: price and hours; each_cents: the price of one of several.
        hours: their range, in words.
        glue_ups: how many; reasons: why so many, or what stands in the way, a sentence each.
        wrong: choices that could not be read, label and why.
        sent: what the choices are as an address carries them, for the form that begins a project.
    """

    tried: Tried | None
    figure: BenchFigure | None = None
    parts: tuple[PartLine, ...] = ()
    pieces: int = 0
    estimate: Estimate | None = None
    each_cents: int = 0
    hours: str = ""
    glue_ups: int = 0
    reasons: tuple[str, ...] = ()
    wrong: tuple[tuple[str, str], ...] = ()
    sent: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class DesignPage:
    """What designs/show.html receives."""

    entry: Entry
    form: SizeForm
    result: Result
    begin: BeginForm
    many: int


@dataclass(frozen=True, slots=True)
class LivePage:
    """What designs/live.html receives: what a design being tried out, or written, comes to now."""

    result: Result
    faults: tuple[Problem, ...] = ()
    writing: bool = False


@dataclass(frozen=True, slots=True)
class EditPage:
    """What designs/edit.html receives; no entry while a design is new."""

    entry: Entry | None
    form: TextForm
    result: Result
    faults: tuple[Problem, ...]
    guide: str
    conflict: bool = False


@dataclass(frozen=True, slots=True)
class BallparkPage:
    """What designs/ballpark.html receives; nothing found where the form is wrong or there is trouble."""

    form: BallparkForm
    found: Ballpark | None
    trouble: str = ""


def card(entry: Entry) -> Card:
    """A design as it stands on the shelf."""
    if entry.design is None:
        return Card(entry, None, "")
    try:
        front, _, _ = draw(make(entry.design, {}))
    except JournalError:  # a text an older version kept; its own page says what is wrong
        return Card(entry, None, _reach(entry.design))
    return Card(entry, thumbnail(front), _reach(entry.design))


def _reach(design: Design) -> str:
    """“48 to 96 in long, 18 to 36 in deep”; '' for a design without such parameters."""
    found = [(design.parameter(word), name) for word, name in (("length", "long"), ("depth", "deep"))]
    sides = [(side, name) for side, name in found if side and side.kind is Kind.LENGTH]
    return ", ".join(
        f"{_bare(side.low)} to {in_marks(side.say(side.high, display().system))} {name}" for side, name in sides
    )


def _bare(length_nm: int) -> str:
    return in_marks(units.format_length(length_nm, display().system, unit=False))


def result(tried: Tried, title: str, benches: int = 1, sent: tuple[tuple[str, str], ...] = ()) -> Result:
    """What was tried out, laid out."""
    made, estimate = tried.made, tried.estimate
    if made is None:
        return Result(tried, sent=sent)
    system = display().system
    figure = bench_figure("bench", title, tried.views, lambda nm: units.format_length(nm, system), system)
    return Result(
        tried=tried,
        figure=figure,
        parts=tuple(_line(part) for part in made.parts),
        pieces=sum(part.quantity for part in made.parts),
        estimate=estimate,
        each_cents=units.share(estimate.price_cents, [1] * benches)[0] if estimate else 0,
        hours=in_marks(f"{estimate.hours.at(0.1):,.0f} – {estimate.hours.at(0.9):,.0f} h") if estimate else "",
        glue_ups=sum(up.times for up in estimate.takeoff.ups) if estimate else 0,
        reasons=estimate.takeoff.gluing.reasons if estimate else (),
        sent=sent,
    )


def _line(part: Part) -> PartLine:
    along = "" if part.along is Along.NONE else f" along {part.along.value}"
    strips = "solid" if part.strips == 1 else f"{part.strips or 'strips'}{along}"
    features = [
        counted(f.count, f.word)
        if f.count
        else f"{f.word} {in_marks(units.format_length(f.length_nm, display().system, feet=True))}"
        for f in part.features
    ]
    return PartLine(part, strips, ", ".join(features))
