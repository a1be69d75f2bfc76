"""On which line of a design's text does a cell stand: the reader of the file keeps no lines, so they are found again."""

from __future__ import annotations

import re
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, TypeAlias

from journal import units

if TYPE_CHECKING:
    from collections.abc import Mapping

Key: TypeAlias = tuple[str | int, ...]

_KEY = re.compile(r"""^\s*(?:"([^"]*)"|'([^']*)'|([A-Za-z0-9_-]+))\s*=""")
_HEADING = re.compile(r"^\s*(\[\[?)\s*([A-Za-z0-9_.-]+)\s*\]\]?")


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines of cells by their path, such as ("parts", 2, "width"); and the system the text says it is in."""

    found: Mapping[Key, int]
    system: units.System

    @classmethod
    def of(cls, text: str) -> Lines:
        """Find the headings and the names before an equals sign; a text over several lines may hide some."""
        found: dict[Key, int] = {}
        counts: dict[str, int] = {}
        section: Key = ()
        for number, line in enumerate(text.splitlines(), start=1):
            heading = _HEADING.match(line)
            if heading:
                section = _section(heading[1] == "[[", heading[2], counts)
                found.setdefault(section, number)
                if len(section) > 1:
                    found.setdefault(section[:1], number)
                continue
            key = _KEY.match(line)
            if key:
                found.setdefault((*section, next(name for name in key.groups() if name is not None)), number)
        metric = re.search(r"""^\s*units\s*=\s*["']metric["']""", text, re.MULTILINE)
        return cls(MappingProxyType(found), units.System.METRIC if metric else units.System.INCH)

    def at(self, key: Key) -> int:
        """The line of a cell, or of the nearest thing around it; 1 at worst."""
        while key:
            if key in self.found:
                return self.found[key]
            key = key[:-1]
        return 1


def _section(many: bool, name: str, counts: dict[str, int]) -> Key:  # noqa: FBT001 - one caller, beside it
    path = tuple(name.split("."))
    if many:
        counts[path[0]] = counts.get(path[0], -1) + 1
    return (path[0], counts[path[0]], *path[1:]) if path[0] in counts else path
