"""Hours as they are typed in the evening, a quarter at a time; and one stretch split between several operations."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from journal import units
from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

QUARTER_SECONDS = 900
_BARE = re.compile(r"[0-9.,/ ¼½¾⅓⅔⅛⅜⅝⅞⁄-]+")


def read_hours(text: str, field: str = "hours", *, mark: units.Mark = units.Mark.POINT) -> int:
    """Whole seconds of hours as typed: "2", "1.5", "1 1/4", "2:15", "45 min"; nothing typed is 0.

    A bare number is hours, unlike elsewhere: the box says so. Nothing longer than a day is taken; `mark` is what
    this shop writes before decimals.

    Raises:
        BadInput: anything else.
    """
    plain = text.strip()
    if not plain:
        return 0
    return units.parse_duration(f"{plain} h" if _BARE.fullmatch(plain) else plain, field, mark=mark)


def show_hours(seconds: int) -> str:
    """The text that `read_hours` reads back as the same minutes: 8,100 s is "2:15"; 0 is ""."""
    if seconds <= 0:
        return ""
    hours, rest = divmod(seconds, 3600)
    minutes, rest = divmod(rest, 60)
    return f"{hours}:{minutes:02d}" + (f":{rest:02d}" if rest else "")


def split(seconds: int, taken: Sequence[int]) -> int:
    """What is left of a stretch when parts of it go elsewhere.

    Args:
        seconds: of the whole.
        taken: seconds of each part that goes, each above 0.

    Raises:
        BadInput: a part of nothing, or more than there is.
    """
    if any(part <= 0 for part in taken):
        raise BadInput("part", min(taken), "a time above 0")
    left = seconds - sum(taken)
    if left < 0:
        whole = units.format_minutes(seconds / 60)
        raise BadInput("parts", units.format_minutes(sum(taken) / 60), f"at most the {whole} there are to share")
    return left
