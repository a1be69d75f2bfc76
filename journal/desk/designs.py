"""Designs: those that come with the program and the shop's own; tried out, changed, passed on, built."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from journal.build.design import check_design_word
from journal.build.design_file import GUIDE, LARGEST, read_design
from journal.build.design_parts import make
from journal.build.drawing import draw, standing_out
from journal.build.stock import Dimensional, Rough
from journal.desk import paces, parts, projects
from journal.desk.estimate import Inputs, estimate_of
from journal.desk.parts import Trouble
from journal.desk.ratios import read_ratios
from journal.desk.remembered import Remembered
from journal.desk.shop import Work, read_shop
from journal.errors import BadInput, BadRows, JournalError, MissingReference, Problem
from journal.places import folder
from journal.records.engine import reading
from journal.records.queries import designs as records
from journal.records.queries import projects as project_records

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date, datetime

    from sqlalchemy import Engine
    from sqlalchemy.orm import Session

    from journal.build.design import Design, Given
    from journal.build.design_parts import Made
    from journal.build.drawing import Drawn
    from journal.build.parts import Part
    from journal.desk.parts import Kept
    from journal.desk.projects import Asked
    from journal.desk.ratios import Ratios
    from journal.desk.shop import ShopView
    from journal.pace.model import Calibration
    from journal.quote.estimate import Estimate
    from journal.records.queries.designs import DesignRow
    from journal.records.queries.projects import ProjectRow

_MOST_COPIES = 1_000


@dataclass(frozen=True, slots=True)
class Entry:
    """A design on the shelf.

    Attributes:
        word, title, text: as kept.
        design: what the text says; None where it can no longer be read.
        trouble: why not.
        id: 0 for one that comes with the program; version: counts changes of one of the shop's own.
        archived: put away.
    """

    word: str
    title: str
    text: str
    design: Design | None
    trouble: str = ""
    id: int = 0
    version: int = 0
    archived: bool = False

    @property
    def own(self) -> bool:
        """Whether it is the shop's own, and so can be changed."""
        return self.id > 0


@dataclass(frozen=True, slots=True)
class Tried:
    """A design tried out with some choices.

    Attributes:
        made: the bench; None where the choices or the text make none.
        views: from the front, the right end and above; empty where there is none.
        problems: the cells that make none.
        standing_out: labels of parts drawn outside the stated outer sizes.
        estimate: price and hours; None where the shop cannot build it as it stands.
        troubles: why not.
    """

    made: Made | None
    views: tuple[Drawn, ...] = ()
    problems: tuple[Problem, ...] = ()
    standing_out: tuple[str, ...] = ()
    estimate: Estimate | None = None
    troubles: tuple[Trouble, ...] = ()


@dataclass(frozen=True, slots=True)
class Bearings:
    """What a price stands on at this moment: the shop, its paces, and what else its journal has taught."""

    shop: ShopView
    calibration: Calibration
    ratios: Ratios

    def estimate(self, listed: tuple[Part, ...], *, benches: int = 1) -> Estimate:
        """The estimate of so many identical benches, made as the shop is used to.

        Raises:
            JournalError: when a part cannot be made.
        """
        return estimate_of(Inputs(listed, self.shop, self.calibration, benches, Work(), self.ratios, ()))


def bearings(session: Session, today: date) -> Bearings:
    """Read them. A constant number of queries."""
    shop = read_shop(session, today)
    taught = paces.learn(session, today)
    return Bearings(shop, taught.calibration, read_ratios(session, shop, today, taught=taught))


# While sizes are tried the journal stands still: what a price stands on is read again only once it has changed.
_BEARINGS: Remembered[Bearings] = Remembered()


def bearings_of(engine: Engine, today: date) -> Bearings:
    """The same, read in a session of its own and remembered until anything in the journal changes."""
    with reading(engine) as session:
        return _BEARINGS.of_journal(session, today, lambda: bearings(session, today))


def woods(shop: ShopView) -> tuple[str, ...]:
    """The woods the shop has prices for, in the order of its stock."""
    lumber = [stock for stock in shop.book().stocks if isinstance(stock, Dimensional | Rough)]
    return tuple(dict.fromkeys(stock.species for stock in lumber))


@cache
def shipped() -> tuple[Entry, ...]:
    """The designs that come with the program, in the order of their titles."""
    texts = [path.read_text(encoding="utf-8") for path in sorted((folder("shared") / "designs").glob("*.toml"))]
    found = [read_design(text) for text in texts]
    entries = [Entry(design.word, design.title, text, design) for design, text in zip(found, texts, strict=True)]
    return tuple(sorted(entries, key=lambda entry: entry.title))


def shelf(session: Session, *, archived: bool = False) -> tuple[Entry, ...]:
    """The shop's own designs, then those that come with the program; or what was put away."""
    own = tuple(_entry(row) for row in records.designs(session, archived=archived))
    return own if archived else (*own, *shipped())


def find(session: Session, word: str) -> Entry:
    """A design by its word.

    Raises:
        MissingReference: there is none; lists those there are.
    """
    row = records.find_design(session, word)
    if row:
        return _entry(row)
    for entry in shipped():
        if entry.word == word:
            return entry
    raise MissingReference("design", word, sorted(_words(session)))


def ready(entry: Entry) -> Design:
    """What a design's text says.

    Raises:
        JournalError: when it can no longer be read.
    """
    if entry.design is None:
        raise JournalError(f"the design “{entry.title}” cannot be read: {entry.trouble}")
    return entry.design


def try_out(design: Design, given: Mapping[str, Given], now: Bearings, *, benches: int = 1) -> Tried:
    """The bench that these choices make, its drawing and its price; what stands in the way where there is none.

    Raises:
        BadInput: a choice outside its limits.
    """
    try:
        made = make(design, given)
    except BadRows as refused:
        return Tried(None, problems=refused.problems)
    outside = tuple(dict.fromkeys(box.label for box in standing_out(made)))
    try:
        estimate = now.estimate(made.parts, benches=benches)
    except JournalError as refused:
        return Tried(made, draw(made), standing_out=outside, troubles=_troubles(made, now, benches, refused))
    strips = {milled.part.label: milled.strips for milled in estimate.takeoff.milled}
    return Tried(made, draw(made, strips), standing_out=outside, estimate=estimate)


def _troubles(made: Made, now: Bearings, benches: int, refused: JournalError) -> tuple[Trouble, ...]:
    """Which parts cannot be made, by the reason; the refusal itself where no part is to blame."""
    found = parts.cannot_be_milled(made.parts, now.shop.book(), now.shop.rules(Work()), benches)
    return tuple(Trouble(tuple(labels), why) for why, labels in found.items()) or (Trouble((), str(refused)),)


def read_text(text: str) -> Design:
    """A design from the text somebody is writing; it must make a bench as it stands by default.

    Raises:
        BadRows: naming every bad place by its line.
    """
    design = read_design(text, "this design")
    make(design, {})
    return design


def copy(session: Session, word: str, *, now: datetime) -> Entry:
    """A copy of a design as one of the shop's own, under the next free word."""
    entry = find(session, word)
    title = f"{entry.title[:100]}, our own" if not entry.own else f"{entry.title[:100]}, again"
    return _entry(_add(session, entry.text, word, title, now))


def add(session: Session, text: str, *, now: datetime) -> Entry:
    """Keep a new design under the word its text gives it.

    Raises:
        BadRows: it cannot be read, or makes no bench.
        BadInput: the word is taken.
    """
    design = read_text(text)
    _refuse_shipped(design.word)
    return _entry(records.add_design(session, design.word, design.title, text, now))


def take(session: Session, content: bytes, *, source: str, now: datetime) -> Entry:
    """Take in a design from a file; where its word is taken, under the next free one.

    Raises:
        BadInput: it is not a text.
        BadRows: naming every bad place by its line; nothing is taken.
    """
    if len(content) > 4 * LARGEST:
        raise BadInput("file", f"{len(content):,} bytes", f"a design under {LARGEST:,} characters")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput("file", source, "a design as this journal writes it: a text in UTF-8") from None
    text = text.replace("\r\n", "\n")
    design = read_design(text, source)
    make(design, {})
    return _entry(_add(session, text, design.word, design.title, now))


def change(session: Session, word: str, text: str, *, read_version: int, now: datetime) -> Entry:
    """Keep a changed text of one of the shop's own designs.

    Raises:
        BadRows: it cannot be read, or makes no bench.
        BadInput: it is not the shop's own, or its new word is taken.
        Conflict: somebody else changed it since `read_version`.
    """
    design = read_text(text)
    entry = _own(session, word)
    _refuse_shipped(design.word)
    row = records.change_design(
        session, entry.id, word=design.word, title=design.title, text=text, read_version=read_version, now=now
    )
    return _entry(row)


def put_away(session: Session, word: str, *, archived: bool, now: datetime) -> Entry:
    """Put one of the shop's own designs away, or take it out again."""
    return _entry(records.put_away(session, _own(session, word).id, archived=archived, now=now))


def as_file(entry: Entry) -> str:
    """A design as it is passed on: its text, headed by how it is written."""
    return entry.text if entry.text.startswith(GUIDE[:20]) else f"{GUIDE}\n{entry.text}"


def begin(
    session: Session, word: str, given: Mapping[str, Given], asked: Asked, *, now: datetime
) -> tuple[ProjectRow, Kept]:
    """Begin a project from a design with these choices.

    Raises:
        JournalError: the choices make no bench.
    """
    made = make(ready(find(session, word)), given)
    project = projects.begin(session, asked, now=now)
    return project, _put_into(session, project, word, made, now)


def apply(session: Session, project_id: int, word: str, given: Mapping[str, Given], *, now: datetime) -> Kept:
    """Put a design's parts in the place of a project's, as the next version of its plan.

    A part with the label of one that is there keeps that one's identity, so its history goes on.

    Raises:
        JournalError: the choices make no bench.
    """
    made = make(ready(find(session, word)), given)
    return _put_into(session, project_records.get_project(session, project_id), word, made, now)


def _put_into(session: Session, project: ProjectRow, word: str, made: Made, now: datetime) -> Kept:
    draft = project.draft(design_word=word, design_values=dict(made.given))
    project_records.change_project(session, project.id, draft, read_version=project.version, now=now)
    there = {part.label.casefold(): part.uid for part in parts.current(session, project.id)}
    named = [replace(part, uid=there.get(part.label.casefold(), "")) for part in made.parts]
    return parts.keep(session, project.id, named, reason=f"made from the design {word}", now=now)


def _add(session: Session, text: str, word: str, title: str, now: datetime) -> DesignRow:
    """Keep a text under a free word, its own where that is free; the text is made to say so."""
    free = _free_word(word, _words(session))
    if free != word:
        text = _renamed(text, free, title)
    design = read_design(text)
    return records.add_design(session, free, design.title, text, now)


def _renamed(text: str, word: str, title: str) -> str:
    """The text with another word and title, which stand before its first section."""
    head, mark, rest = text.partition("\n[")
    quoted = title.replace("\\", "\\\\").replace('"', '\\"')
    head = re.sub(r"^(\s*word\s*=\s*).*$", lambda found: f'{found[1]}"{word}"', head, count=1, flags=re.MULTILINE)
    head = re.sub(r"^(\s*title\s*=\s*).*$", lambda found: f'{found[1]}"{quoted}"', head, count=1, flags=re.MULTILINE)
    return head + mark + rest


def _free_word(word: str, taken: frozenset[str]) -> str:
    if word not in taken:
        return word
    stem = re.sub(r"-\d+$", "", word)[:50].rstrip("-")
    free = next(f"{stem}-{n}" for n in range(2, _MOST_COPIES) if f"{stem}-{n}" not in taken)
    check_design_word(free)
    return free


def _words(session: Session) -> frozenset[str]:
    return records.design_words(session) | {entry.word for entry in shipped()}


def _refuse_shipped(word: str) -> None:
    if word in {entry.word for entry in shipped()}:
        raise BadInput("word", word, "one that no design of the program has, such as ours-" + word)


def _own(session: Session, word: str) -> Entry:
    entry = find(session, word)
    if not entry.own:
        raise BadInput("design", entry.title, "one of the shop's own; copy this one and change the copy")
    return entry


def _entry(row: DesignRow) -> Entry:
    design, trouble = _read(row.text)
    return Entry(row.word, row.title, row.text, design, trouble, row.id, row.version, row.archived)


@lru_cache(maxsize=64)
def _read(text: str) -> tuple[Design | None, str]:
    """A kept text is read once; one that an older version of the program kept may no longer be readable."""
    try:
        return read_design(text), ""
    except BadRows as refused:
        return None, "; ".join(str(problem) for problem in refused.problems[:3])
