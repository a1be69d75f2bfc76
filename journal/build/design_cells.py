"""Reading the cells of a design's text: every bad one is noted with its line and its place, and reading goes on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

from journal.build.design import Cell
from journal.build.formulas import check_names, read_formula
from journal.errors import BadInput, MissingReference, Problem

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from journal.build.design_lines import Lines

T = TypeVar("T")


class CellReader:
    """Collects problems instead of stopping at the first."""

    def __init__(self, source: str, lines: Lines) -> None:
        self.source = source
        self.lines = lines
        self.problems: list[Problem] = []
        self.known: frozenset[str] = frozenset()
        self.words: frozenset[str] = frozenset()  # parameters that are words: what may stand in { }

    def problem(self, key: tuple[str | int, ...], place: str, message: str) -> None:
        """Note a bad place."""
        self.problems.append(Problem(self.lines.at(key), place, message))

    def attempt(self, key: tuple[str | int, ...], place: str, act: Callable[[], T]) -> T | None:
        """What `act` gives; None, and a bad place noted, where it refuses."""
        try:
            return act()
        except MissingReference as refused:
            self.problem(key, place, str(refused))
        except BadInput as refused:
            self.problem(key, place, str(refused).removeprefix(f"{refused.field}: "))
        return None

    def others(self, table: dict[str, Any], known: Iterable[str], key: tuple[str | int, ...], place: str) -> None:
        """Note what is not known in a table."""
        for other in sorted(table.keys() - set(known)):
            self.problem((*key, other), place, f"“{other}” is not known here; use {', '.join(known)}")

    def section(self, table: dict[str, Any], name: str) -> dict[str, Any]:
        """A table of the file, empty where there is none."""
        found = table.get(name, {})
        if isinstance(found, dict):
            return found
        self.problem((name,), name, f"a section: [{name}] on a line of its own, then a line for each name")
        return {}

    def cell(
        self, given: object, key: tuple[str | int, ...], place: str, *, also: frozenset[str] = frozenset()
    ) -> Cell | None:
        """A formula at its place; None, and a bad place noted, where it is none."""
        if given is None:
            self.problem(key, place, "nothing here; give a formula, or a number")
            return None
        if isinstance(given, bool) or not isinstance(given, int | float | str):
            self.problem(key, place, "a formula in quotes, or a number")
            return None
        name = place.rsplit(", ", 1)[-1]

        def made() -> Cell:
            formula = read_formula(str(given), name)
            check_names(formula, self.known | also, name)
            return Cell(formula, place, self.lines.at(key))

        return self.attempt(key, place, made)

    def alternatives(self, given: object, key: tuple[str | int, ...], place: str) -> tuple[Cell, ...]:
        """The formulas of “a | b”, which may count with n."""
        pieces = str(given).split("|") if isinstance(given, str) else [given]
        found = [self.cell(piece, key, place, also=frozenset("n")) for piece in pieces]
        return tuple(cell for cell in found if cell)


def text_of(given: object, name: str) -> str:
    """A text; refuses anything else, and a long one."""
    if not isinstance(given, str) or len(given) > 500:
        raise BadInput(name, given, "a text in quotes, at most 500 characters")
    return given.strip()
