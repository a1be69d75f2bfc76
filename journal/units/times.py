"""Durations: whole seconds in logs, minutes in estimates."""

from __future__ import annotations

import re
from fractions import Fraction

from journal.errors import BadInput
from journal.units.exact import decimal_text, exact, read_number, round_half_up, tidy
from journal.units.marks import Mark

SECONDS_PER_MINUTE = 60
SECONDS_PER_HOUR = 3600
SECONDS_PER_DAY = 86_400
# Ten years: longer than any cure or rest; what is more is a slip.
_MAX_LONG_SECONDS = 3653 * SECONDS_PER_DAY

_SECONDS_PER_UNIT = {
    **dict.fromkeys(("d", "day", "days"), SECONDS_PER_DAY),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), SECONDS_PER_HOUR),
    **dict.fromkeys(("m", "min", "mins", "minute", "minutes"), SECONDS_PER_MINUTE),
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), 1),
}
_EXPECTED = "a time such as 90 min, 1:30, 1 h 30 min or 1.5 h"
_CLOCK = re.compile(r"([0-9]{1,3}):([0-9]{2})(?::([0-9]{2}))?")
_ONE_UNIT = re.compile(r"([0-9.,/ -]*[0-9]) ?([a-z]+)?\.?")
_HOURS = r"([0-9]+) ?(?:h|hrs?|hours?) ?"
_HOURS_THEN_BARE = re.compile(_HOURS + r"([0-9]{1,2})")
_PIECES = re.compile(rf"(?:{_HOURS})?(?:([0-9]+) ?(?:m|mins?|minutes?) ?)?(?:([0-9]+) ?(?:s|secs?|seconds?))?")


def parse_duration(text: str, field: str = "time", *, allow_long: bool = False, mark: Mark = Mark.POINT) -> int:
    """Whole seconds of a duration as people write it; a bare number is minutes.

    Takes "90", "90 min", "1:30" (hours and minutes), "1:30:15", "1h30", "1 h 30 min", "1.5 h", "2 1/4 hours", "45s",
    "2 days". After hours, minutes stay under 60.

    Args:
        text: what was typed.
        field: the name of the thing, in the user's words.
        allow_long: accept more than 24 hours: a rest or a cure, not an evening's work.
        mark: what this shop writes before decimals.

    Raises:
        BadInput: anything else.
    """
    plain = tidy(text, field, _EXPECTED)
    seconds = round_half_up(_read(plain, field, text, mark))
    if seconds > _MAX_LONG_SECONDS:
        raise BadInput(field, text, "less than ten years")
    if seconds > SECONDS_PER_DAY and not allow_long:
        raise BadInput(field, text, "at most 24 hours")
    return seconds


def format_minutes(minutes: float) -> str:
    """Hours and minutes to the nearest minute: "1 h 30 min", "45 min", "2 h"; under a minute in seconds, "24 s".

    Raises:
        BadInput: not a finite number.
    """
    seconds = round_half_up(exact(minutes, "minutes") * SECONDS_PER_MINUTE)
    sign = "−" if seconds < 0 else ""
    if 0 < abs(seconds) < SECONDS_PER_MINUTE:
        return f"{sign}{abs(seconds)} s"
    hours, rest = divmod(abs(round_half_up(exact(minutes))), 60)
    shown = [f"{hours:,} h"] if hours else []
    if rest or not shown:
        shown.append(f"{rest} min")
    return sign + " ".join(shown)


def format_hours(minutes: float) -> str:
    """Hours to a tenth, from minutes: 750 gives "12.5 h".

    Raises:
        BadInput: not a finite number.
    """
    return f"{decimal_text(exact(minutes, 'minutes') / 60, 1, strip=False)} h"


def _read(plain: str, field: str, received: str, mark: Mark) -> Fraction:
    clock = _CLOCK.fullmatch(plain)
    if clock:
        return _add_up(clock[1], clock[2], clock[3], field, received)
    single = _ONE_UNIT.fullmatch(plain)
    if single:
        number, unit = single[1].strip(), single[2] or "min"
        if unit not in _SECONDS_PER_UNIT:
            raise BadInput(field, received, f"hours, minutes or seconds, not “{unit}”")
        return read_number(number, field, received, _EXPECTED, mark=mark) * _SECONDS_PER_UNIT[unit]
    bare = _HOURS_THEN_BARE.fullmatch(plain)
    if bare:
        return _add_up(bare[1], bare[2], None, field, received)
    pieces = _PIECES.fullmatch(plain)
    if not pieces:
        signed = plain.startswith(("-", "+"))
        raise BadInput(field, received, f"a time without a sign: {_EXPECTED}" if signed else _EXPECTED)
    return _add_up(pieces[1], pieces[2], pieces[3], field, received)


def _add_up(hours: str | None, minutes: str | None, seconds: str | None, field: str, received: str) -> Fraction:
    """Seconds in all; only the largest unit that was typed may pass 59."""
    if hours is not None and int(minutes or 0) >= 60:
        raise BadInput(field, received, f"less than 60 minutes after the {hours} hours")
    if (hours or minutes) is not None and int(seconds or 0) >= 60:
        raise BadInput(field, received, "less than 60 seconds after the minutes")
    return Fraction(int(hours or 0) * SECONDS_PER_HOUR + int(minutes or 0) * SECONDS_PER_MINUTE + int(seconds or 0))
