"""The boxes by which a surprise is set aside, and what already is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.web.review.forms import AsideForm
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from journal.desk.review_aside import Aside
    from journal.web.review.pages import PieceLine


@dataclass(frozen=True, slots=True)
class AsideBox:
    """Of one piece.

    Attributes:
        what: its code.
        told: (reason, how many entries in words) of what is set aside.
        form: to set the rest aside; None where nothing of it is learned from.
    """

    what: str
    told: tuple[tuple[str, str], ...]
    form: AsideForm | None


def boxes(
    surprises: Sequence[PieceLine],
    others: Sequence[PieceLine],
    found: Mapping[str, Aside],
    refused: tuple[str, AsideForm] | None,
) -> dict[str, AsideBox]:
    """Code of a piece → its box: a surprise may be set aside, a refused form in its place; others say what is."""
    told = {line.what: AsideBox(line.what, _told(found[line.what]), None) for line in others if line.what in found}
    return told | {line.what: _box(line.what, found[line.what], refused) for line in surprises if line.what in found}


def prefix_of(what: str) -> str:
    """Of the names of its boxes, so that each on the page has its own."""
    return f"aside-{what}"


def _box(what: str, aside: Aside, refused: tuple[str, AsideForm] | None) -> AsideBox:
    told = _told(aside)
    if not aside.learned:
        return AsideBox(what, told, None)
    if refused and refused[0] == what:
        return AsideBox(what, told, refused[1])
    return AsideBox(what, told, AsideForm(formdata=None, prefix=prefix_of(what)))


def _told(aside: Aside) -> tuple[tuple[str, str], ...]:
    return tuple((reason, counted(number, "entry", "entries")) for reason, number in aside.reasons.items())
