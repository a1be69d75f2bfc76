"""A design as a file of our own: TOML whose cells are formulas. How it is written is told in `GUIDE`.

Reading goes on to the end and names every bad cell by its line and what it is called there.
"""

from __future__ import annotations

import re
import tomllib
from typing import TYPE_CHECKING, Any, TypeVar

from journal import reference, units
from journal.build.design import (
    MOST_PARAMETERS,
    MOST_ROWS,
    MOST_WORKED,
    Cell,
    Design,
    HolePlaces,
    Kind,
    Measure,
    Outer,
    Parameter,
    Places,
    Row,
    check_design_word,
)
from journal.build.design_cells import CellReader, text_of
from journal.build.design_lines import Lines
from journal.build.formulas import check_word
from journal.build.parts import Along, Faces, parse_faces
from journal.errors import BadInput, BadRows, Problem

if TYPE_CHECKING:
    from collections.abc import Iterable

FORMAT = "bench design 1"
LARGEST = 100_000
GUIDE = """\
# A bench design. Every cell is a formula in the names of the parameters and of what is worked out:
#   numbers (3.5, 3 1/2, 3½)   + - * /   // (whole times)   % (what is left)   ( )
#   min max floor ceil round_up(size, step) round_down(size, step) mm( ) inch( )   1/8 if shelf else 0   and or not
# A bare number is in the design's units, "inch" or "metric" (millimetres). Yes is 1, no is 0.
#   [parameters]  what can be chosen: label, kind (length, count, choice, yes/no, wood), default, low, high, options, hint
#   [worked]      names that follow from them
#   [outer]       the outer sizes of the whole bench: length, depth, height
#   [[parts]]     a kind of piece: label, qty, when, thickness, width, length, stock, strips, along, faces, features, note
#                 stock: as in a part list, {name} for a wood or a choice; along: width or thickness, for glued strips
#                 at: where its pieces stand: x along the length, y from the front to the back, z upwards;
#                     "a | b" a piece at each, n the number of the piece from 0; as: what runs along x, y and z
#                 holes: their middles x and y seen from above, n the number of the hole from 0; across; count
#   [[measures]]  what the drawing dimensions besides the outer sizes: view (front, side, top), across or up: "from | to"
"""

_TOP = ("format", "word", "title", "about", "units", "parameters", "worked", "outer", "parts", "measures")
_OF_PARAMETER = ("label", "kind", "default", "low", "high", "options", "hint")
_OF_ROW = (
    "label",
    "qty",
    "when",
    "thickness",
    "width",
    "length",
    "stock",
    "strips",
    "along",
    "faces",
    "features",
    "note",
    "at",
    "holes",
)
_SIZES = ("thickness", "width", "length")
_VIEWS = ("front", "side", "top")

T = TypeVar("T")


def read_design(text: str, source: str = "design") -> Design:
    """A design from its text.

    Raises:
        BadRows: naming every bad place by its line; nothing is taken.
    """
    if len(text) > LARGEST:
        raise BadRows(source, [Problem(1, "", f"{len(text):,} characters; a design has at most {LARGEST:,}")])
    try:
        table = tomllib.loads(text.replace("\r\n", "\n"))
    except tomllib.TOMLDecodeError as broken:
        raise BadRows(source, [_broken(str(broken), text)]) from None
    except ValueError as broken:  # not the reader's own: a number of more digits than Python makes a number of
        raise BadRows(source, [Problem(1, "", f"a number is far too long ({broken})")]) from None
    except RecursionError:
        raise BadRows(source, [Problem(1, "", "brackets within brackets without end")]) from None
    return _Reader(source, Lines.of(text)).read(table)


def _broken(message: str, text: str) -> Problem:
    found = re.search(r"\(at line (\d+), column \d+\)", message)
    line = int(found[1]) if found else max(1, len(text.splitlines()))
    return Problem(
        line, "", f"{message.split(' (at ', maxsplit=1)[0].lower()}; a text stands in quotes, a section in [ ]"
    )


class _Reader(CellReader):
    """One pass over a design."""

    def read(self, table: dict[str, Any]) -> Design:
        self._heads(table)
        parameters_raw, worked_raw = self.section(table, "parameters"), self.section(table, "worked")
        # A parameter that could not be read is known all the same: it is told of once, not wherever it is used.
        self.known = frozenset(parameters_raw) | frozenset(worked_raw)
        parameters = self._parameters(parameters_raw)
        self.words = frozenset(p.word for p in parameters if p.kind in (Kind.CHOICE, Kind.WOOD))
        worked = self._worked(worked_raw, frozenset(parameters_raw))
        outer_raw = self.section(table, "outer")
        self.others(outer_raw, ("length", "depth", "height"), ("outer",), "outer")
        outer = [self.cell(outer_raw.get(key), ("outer", key), f"outer {key}") for key in ("length", "depth", "height")]
        rows = self._rows(table.get("parts"))
        measures = self._measures(table.get("measures", []))
        self._finish()
        length, depth, height = (cell for cell in outer if cell)
        return Design(
            word=table["word"],
            title=table["title"],
            about=table.get("about", ""),
            system=units.System(table["units"]),
            parameters=parameters,
            outer=Outer(length, depth, height),
            rows=rows,
            worked=worked,
            measures=measures,
        )

    def _finish(self) -> None:
        if self.problems:
            raise BadRows(self.source, sorted(self.problems, key=lambda problem: problem.line))

    def _heads(self, table: dict[str, Any]) -> None:
        self.others(table, _TOP, (), "")
        if table.get("format") != FORMAT:
            self.problem(("format",), "format", f'this is not a design of ours: its first line is format = "{FORMAT}"')
        for key in ("word", "title", "about"):
            if not isinstance(table.get(key, "" if key == "about" else None), str):
                self.problem((key,), key, "a text in quotes")
        if isinstance(table.get("word"), str):
            self.attempt(("word",), "word", lambda: check_design_word(table["word"]))
        if isinstance(table.get("title"), str) and not 1 <= len(table["title"].strip()) <= 120:
            self.problem(("title",), "title", "a few words, at most 120 characters")
        if table.get("units") not in tuple(units.System):
            self.problem(("units",), "units", "“inch” or “metric”")

    # Parameters

    def _parameters(self, section: dict[str, Any]) -> tuple[Parameter, ...]:
        if len(section) > MOST_PARAMETERS:
            self.problem(("parameters",), "parameters", f"{len(section)}; a design has at most {MOST_PARAMETERS}")
        if not section:
            self.problem(("parameters",), "parameters", "nothing can be chosen; name at least one, such as length")
        found = [self._parameter(word, given) for word, given in list(section.items())[:MOST_PARAMETERS]]
        return tuple(parameter for parameter in found if parameter)

    def _parameter(self, word: str, given: object) -> Parameter | None:
        key: tuple[str | int, ...] = ("parameters", word)
        place = f"parameter {word}"
        if not isinstance(given, dict):
            self.problem(key, place, '{ label = "…", default = "…", low = "…", high = "…" }')
            return None
        self.others(given, _OF_PARAMETER, key, place)
        self.attempt(key, place, lambda: check_word(word, "name"))
        kind = self.attempt(key, place, lambda: _kind(given.get("kind", "length")))
        return self.attempt(key, place, lambda: self._made_parameter(word, kind, given)) if kind else None

    def _made_parameter(self, word: str, kind: Kind, given: dict[str, Any]) -> Parameter:
        options = given.get("options", [])
        if not isinstance(options, list) or not all(isinstance(option, str) for option in options):
            raise BadInput("options", options, 'words: ["one", "another"]')
        return Parameter(
            word=word,
            label=text_of(given.get("label", word.replace("_", " ").capitalize()), "label"),
            kind=kind,
            default=self._given(kind, "default", given, options),
            low=int(self._given(kind, "low", given, ())) if kind in (Kind.LENGTH, Kind.COUNT) else 0,
            high=int(self._given(kind, "high", given, ())) if kind in (Kind.LENGTH, Kind.COUNT) else 0,
            options=tuple(options),
            hint=text_of(given.get("hint", ""), "hint"),
            line=self.lines.at(("parameters", word)),
        )

    def _given(self, kind: Kind, key: str, given: dict[str, Any], options: Iterable[str]) -> int | str | bool:
        usual = {Kind.YES_NO: False, Kind.WOOD: "", Kind.CHOICE: next(iter(options), "")}
        value = given.get(key, usual.get(kind))
        if value is None:
            raise BadInput(key, "", f"a {key} end" if key != "default" else "a default")
        if kind is Kind.LENGTH:
            return units.parse_length(str(value), system=self.lines.system, field=key, allow_zero=True)
        if kind is Kind.COUNT:
            if not re.fullmatch(r"[0-9]{1,6}", str(value)):
                raise BadInput(key, value, "a whole number")
            return int(value)
        if kind is Kind.YES_NO:
            words = {True: True, False: False, "yes": True, "no": False}
            if value not in words:
                raise BadInput(key, value, "yes or no")
            return words[value]
        return text_of(value, key)

    # What follows from them

    def _worked(self, section: dict[str, Any], parameters: frozenset[str]) -> dict[str, Cell]:
        if len(section) > MOST_WORKED:
            self.problem(("worked",), "worked", f"{len(section)} names; a design has at most {MOST_WORKED}")
            return {}
        found: dict[str, Cell] = {}
        for word, given in section.items():
            key = ("worked", word)
            self.attempt(key, f"worked {word}", lambda word=word: check_word(word, "name"))  # type: ignore[misc]
            if word in parameters:
                self.problem(key, f"worked {word}", f"{word} is a parameter already; take another name")
            cell = self.cell(given, key, f"worked {word}")
            if cell:
                found[word] = cell
        self._refuse_circles(found)
        return found

    def _refuse_circles(self, worked: dict[str, Cell]) -> None:
        """A name that stands on itself, whichever way round, is told once for each circle."""
        done: set[str] = set()

        def follow(word: str, path: tuple[str, ...]) -> None:
            if word in path:
                circle = path[path.index(word) :]
                first = min(circle, key=lambda name: worked[name].line)
                start = circle.index(first)
                round_ = " → ".join((*circle[start:], *circle[:start], first))
                cell = worked[first]
                self.problems.append(
                    Problem(cell.line, cell.place, f"goes round in a circle: {round_}; work one of them out of others")
                )
                return
            if word in done or word not in worked:
                return
            for name in sorted(worked[word].formula.names):
                follow(name, (*path, word))
            done.add(word)

        for word in worked:
            follow(word, ())
        self.problems = list(dict.fromkeys(self.problems))

    # Rows

    def _rows(self, listed: object) -> tuple[Row, ...]:
        if not isinstance(listed, list) or not listed or not all(isinstance(row, dict) for row in listed):
            self.problem(("parts",), "parts", "no parts; each starts with [[parts]] on a line of its own")
            return ()
        if len(listed) > MOST_ROWS:
            self.problem(("parts",), "parts", f"{len(listed)} kinds of part; a design has at most {MOST_ROWS}")
            return ()
        seen: dict[str, int] = {}
        found: list[Row] = []
        for index, given in enumerate(listed):
            row = self._row(index, given)
            label = str(given.get("label", ""))
            if label and label.casefold() in seen:  # one without any is a problem of its own
                self.problem(("parts", index, "label"), label, f"already on line {seen[label.casefold()]}")
            seen.setdefault(label.casefold(), self.lines.at(("parts", index, "label")))
            if row:
                found.append(row)
        return tuple(found)

    def _row(self, index: int, given: dict[str, Any]) -> Row | None:
        before = len(self.problems)
        key: tuple[str | int, ...] = ("parts", index)
        label = given.get("label")
        named = label if isinstance(label, str) and label.strip() else f"part {index + 1}"
        if named != label or len(named) > 120:
            self.problem((*key, "label"), named, "a label: what the maker calls this piece")
        self.others(given, _OF_ROW, key, named)
        quantity = self.cell(given.get("qty", 1), (*key, "qty"), f"{named}, qty")
        sizes = [self.cell(given.get(size), (*key, size), f"{named}, {size}") for size in _SIZES]
        when = self._optional(given, key, named, "when")
        strips = self._optional(given, key, named, "strips")
        along = self.attempt((*key, "along"), f"{named}, along", lambda: _along(given.get("along", "none")))
        faces = self.attempt((*key, "faces"), f"{named}, faces", lambda: _faces(given.get("faces", "all")))
        stock = self.attempt((*key, "stock"), f"{named}, stock", lambda: self._stock(given.get("stock", "")))
        features = self._features(given.get("features", {}), key, named)
        places = self._places(given.get("at"), key, named)
        holes = self._holes(given, key, named)
        note = self.attempt((*key, "note"), f"{named}, note", lambda: text_of(given.get("note", ""), "note"))
        if strips and along is Along.NONE and strips.formula.text.strip() != "1":
            self.problem(
                (*key, "strips"), f"{named}, strips", 'say which way they add up: along = "width" or "thickness"'
            )
        if len(self.problems) > before or not quantity or not all(sizes):
            return None
        thickness, width, length = (size for size in sizes if size)
        return Row(
            label=named,
            quantity=quantity,
            thickness=thickness,
            width=width,
            length=length,
            when=when,
            stock=stock or "",
            strips=strips,
            along=along or Along.NONE,
            faces=faces or Faces(),
            features=features,
            places=places,
            holes=holes,
            note=note or "",
            line=self.lines.at(key),
        )

    def _optional(self, given: dict[str, Any], key: tuple[str | int, ...], named: str, column: str) -> Cell | None:
        return self.cell(given[column], (*key, column), f"{named}, {column}") if column in given else None

    def _stock(self, given: object) -> str:
        text = text_of(given, "stock")
        for word in re.findall(r"\{(.*?)\}", text):
            if word not in self.words:
                raise BadInput("stock", text, f"in {{ }} a wood or a choice: {', '.join(sorted(self.words)) or 'none'}")
        return text

    def _features(self, given: object, key: tuple[str | int, ...], named: str) -> tuple[tuple[str, Cell], ...]:
        place = f"{named}, features"
        if not isinstance(given, dict):
            self.problem((*key, "features"), place, '{ hole = "4", groove = "length - 6" }')
            return ()
        found: list[tuple[str, Cell]] = []
        for word, formula in given.items():
            known = self.attempt((*key, "features"), place, lambda word=word: reference.find_feature(word))  # type: ignore[misc]
            cell = self.cell(formula, (*key, "features"), f"{named}, {word}")
            if known and cell:
                found.append((known.word, cell))
        return tuple(found)

    def _places(self, given: object, key: tuple[str | int, ...], named: str) -> Places | None:
        if given is None:
            return None
        place = f"{named}, at"
        if not isinstance(given, dict):
            self.problem((*key, "at"), place, '{ x = "0", y = "0", z = "0", as = "length width thickness" }')
            return None
        self.others(given, ("x", "y", "z", "as"), (*key, "at"), place)
        x, y, z = (self.alternatives(given.get(axis), (*key, "at"), f"{named}, {axis}") for axis in "xyz")
        axes = tuple(str(given.get("as", "")).replace(",", " ").split())
        if sorted(axes) != sorted(_SIZES):
            self.problem(
                (*key, "at"), place, 'as = "length width thickness": what runs along x, y and z, in that order'
            )
            return None
        return Places(x, y, z, (axes[0], axes[1], axes[2])) if x and y and z else None

    def _holes(self, row: dict[str, Any], key: tuple[str | int, ...], named: str) -> HolePlaces | None:
        given = row.get("holes")
        if given is None:
            return None
        place = f"{named}, holes"
        if not isinstance(given, dict):
            self.problem((*key, "holes"), place, '{ x = "4 + n * 6", y = "4", across = "3/4", count = "8" }')
            return None
        self.others(given, ("x", "y", "across", "count"), (*key, "holes"), place)
        x, y = (self.cell(given.get(a), (*key, "holes"), f"{place} {a}", also=frozenset("n")) for a in "xy")
        across = self.cell(given.get("across"), (*key, "holes"), f"{place} across")
        count = self.cell(given.get("count"), (*key, "holes"), f"{place} count")
        return HolePlaces(x, y, across, count) if x and y and across and count else None

    def _measures(self, listed: object) -> tuple[Measure, ...]:
        if not isinstance(listed, list) or not all(isinstance(measure, dict) for measure in listed):
            self.problem(("measures",), "measures", "each starts with [[measures]] on a line of its own")
            return ()
        return tuple(m for index, given in enumerate(listed) if (m := self._measure(index, given)))

    def _measure(self, index: int, given: dict[str, Any]) -> Measure | None:
        key: tuple[str | int, ...] = ("measures", index)
        place = f"measure {index + 1}"
        self.others(given, ("view", "across", "up"), key, place)
        ends = given.get("across", given.get("up"))
        pair = str(ends).split("|") if isinstance(ends, str) else []
        if given.get("view") not in _VIEWS or len(pair) != 2 or ("across" in given) == ("up" in given):
            self.problem(key, place, 'view = "front", "side" or "top", and across = "from | to" or up = "from | to"')
            return None
        start, end = (self.cell(text, key, place) for text in pair)
        return Measure(given["view"], "up" in given, start, end) if start and end else None


def _kind(given: object) -> Kind:
    words = {kind.value: kind for kind in Kind}
    if given not in words:
        raise BadInput("kind", given, ", ".join(words))
    return words[str(given)]


def _along(given: object) -> Along:
    try:
        return Along(str(given))
    except ValueError:
        raise BadInput("along", given, "width (strips side by side) or thickness (strips face to face)") from None


def _faces(given: object) -> Faces:
    try:
        return parse_faces(text_of(given, "faces"))
    except BadInput as refused:
        raise BadInput("faces", given, refused.expected) from None
