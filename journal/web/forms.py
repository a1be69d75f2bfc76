"""The fields every section uses. A field reads the user's text with a function of units and keeps what was typed."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, ClassVar, Generic, TypedDict, TypeVar

from flask_wtf import FlaskForm
from wtforms import (
    BooleanField,
    DateField,
    Field,
    HiddenField,
    SelectChoice,
    SelectField,
    StringField,
    TextAreaField,
    ValidationError,
)
from wtforms.validators import Length, Optional, StopValidation

from journal import units
from journal.errors import BadInput
from journal.web.state import display, in_marks, told

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = [
    "NO_VERSION",
    "AmountField",
    "BooleanField",
    "CountField",
    "DateField",
    "DurationField",
    "JournalForm",
    "LengthField",
    "LiquidField",
    "MoneyField",
    "NoteField",
    "NumberField",
    "PercentField",
    "QuarterField",
    "Required",
    "SelectChoice",
    "SelectField",
    "TextField",
    "VersionField",
    "attach",
    "box_attributes",
]


class Ways(TypedDict):
    """How lengths are read."""

    system: units.System
    mark: units.Mark


T = TypeVar("T", int, float, Decimal, Fraction)

# By decimal mark, the other mark before one or two decimals included; no escapes for −.
_NUMBER = {
    units.Mark.POINT: re.compile(r"[+−-]?(\d{1,12}|\d{1,3}(,\d{3}){1,3})(\.\d{1,9})?|[+−-]?\d{1,12},\d{1,2}", re.ASCII),
    units.Mark.COMMA: re.compile(
        r"[+−-]?(\d{1,12}|\d{1,3}([ .]\d{3}){1,3}(?=,|$)|\d{1,3}( \d{3}){1,3})(,\d{1,9})?|[+−-]?\d{1,12}\.\d{1,9}",
        re.ASCII,
    ),
}
_ASK = re.compile(r"[+−-]?([1-9]\d{0,2})\.(\d{3})", re.ASCII)  # thousands by habit, or decimals by another's
_LONE = re.compile(r"(.*),(\d{1,2})")
_LONGEST_LINE = 200  # characters of a name or an address line
_LONGEST_NOTE = 10_000
_DIGITS = 12
_WHOLE = 100  # percent
NO_VERSION = -1  # no stored thing has it, so a page that lost its version is told of a conflict


class JournalForm(FlaskForm):
    """Base of all forms."""

    clashed = False  # somebody else changed what it is about while it was open (web/clash.py)

    def refused(self) -> bool:
        """Whether anything in it could not be taken; the page then opens with a summary."""
        return bool(self.errors)


class Required:
    """Refuses an empty box, spaces included."""

    field_flags: ClassVar[dict[str, bool]] = {"required": True}

    def __call__(self, _form: object, field: Field) -> None:
        if not field.raw_data or not str(field.raw_data[0]).strip():
            raise StopValidation("Fill this in.")


class ParsedField(StringField, Generic[T]):
    """A text box whose text becomes a value; a refusal becomes the box's error and the text stays as typed.

    Args:
        label: shown above the box.
        required: refuse an empty box; otherwise an empty box is None.
        at_least: smallest value taken, in the value's own unit.
        at_most: largest value taken.
        kwargs: as for any field.
    """

    inputmode = "text"

    def __init__(
        self,
        label: str,
        *,
        required: bool = True,
        at_least: T | None = None,
        at_most: T | None = None,
        validators: Sequence[object] = (),
        **kwargs: object,
    ) -> None:
        ends = (Required() if required else Optional(), *validators, _InRange(at_least, at_most))
        super().__init__(label, validators=ends, **kwargs)

    def parse(self, text: str) -> T:
        """The value; raises BadInput."""
        raise NotImplementedError

    def show(self, value: T) -> str:
        """The text that `parse` reads back as this very value: a form sent again unchanged must change nothing."""
        raise NotImplementedError

    def _faithful(self, value: T, *texts: str) -> str:
        """The first text that reads back as the value, so that rounding for the eye never rounds what is kept."""
        shown = [in_marks(text) for text in texts]
        return next((text for text in shown if self._reads(text) == value), shown[-1])

    def _reads(self, text: str) -> T | None:
        try:
            return self.parse(text)
        except BadInput:
            return None

    def process_formdata(self, valuelist: list[str]) -> None:
        text = valuelist[0].strip() if valuelist else ""
        self.data = None
        if not text:
            return
        try:
            self.data = self.parse(text)
        except BadInput as refusal:
            raise ValueError(explain(refusal)) from refusal

    def _value(self) -> str:
        if self.raw_data:
            return str(self.raw_data[0])
        return "" if self.data is None else self.show(self.data)


class _InRange(Generic[T]):
    """Refuses a value outside the ends, both included, in the user's units."""

    def __init__(self, low: T | None, high: T | None) -> None:
        self.low = low
        self.high = high

    def __call__(self, _form: object, field: ParsedField[T]) -> None:
        if field.data is None:
            return
        if self.low is not None and field.data < self.low:
            raise ValidationError(f"Read {field.show(field.data)}, expected {field.show(self.low)} or more.")
        if self.high is not None and field.data > self.high:
            raise ValidationError(f"Read {field.show(field.data)}, expected {field.show(self.high)} or less.")


class LengthField(ParsedField[int]):
    """Nanometres."""

    def __init__(self, label: str, *, allow_zero: bool = False, **kwargs: object) -> None:
        super().__init__(label, **kwargs)
        self.allow_zero = allow_zero

    def parse(self, text: str) -> int:
        return units.parse_length(text, **ways(), field=self.label.text, allow_zero=self.allow_zero)

    def show(self, value: int) -> str:
        system = display().system
        rounded = (units.format_length(value, system, denominator=finest) for finest in (16, 32, 64))
        return self._faithful(value, *rounded, f"{Decimal(value) / units.NM_PER_MM:f} mm")


class QuarterField(ParsedField[int]):
    """Nanometres of a rough thickness, typed as 8/4."""

    def parse(self, text: str) -> int:
        return units.parse_quarter(text, field=self.label.text)

    def show(self, value: int) -> str:
        return f"{units.to_inches(value) * 4}/4"


class MoneyField(ParsedField[int]):
    """Minor units of the shop's currency."""

    inputmode = "decimal"

    def parse(self, text: str) -> int:
        return read_money(text, self.label.text)

    def show(self, value: int) -> str:
        return in_marks(units.format_money(value, display().currency))


class AmountField(MoneyField):
    """Money without its sign, which stands behind the box: the sign itself may be changed in the same form."""

    def show(self, value: int) -> str:
        return super().show(value).removeprefix(display().currency.symbol).strip()


class DurationField(ParsedField[int]):
    """Seconds; `allow_long` takes more than a day: a rest or a cure, not an evening's work."""

    def __init__(self, label: str, *, allow_long: bool = False, **kwargs: object) -> None:
        super().__init__(label, **kwargs)
        self.allow_long = allow_long

    def parse(self, text: str) -> int:
        return units.parse_duration(text, field=self.label.text, allow_long=self.allow_long, mark=display().mark)

    def show(self, value: int) -> str:
        return self._faithful(value, units.format_minutes(value / 60), f"{value} s")


class LiquidField(ParsedField[float]):
    """Millilitres."""

    def parse(self, text: str) -> float:
        return units.parse_liquid(text, field=self.label.text, mark=display().mark)

    def show(self, value: float) -> str:
        return self._faithful(
            value, units.format_liquid(value, display().system), f"{Decimal(repr(float(value))).normalize():f} ml"
        )


class CountField(ParsedField[int]):
    """A whole number."""

    inputmode = "numeric"

    def parse(self, text: str) -> int:
        value = read_number(text, self.label.text, "a whole number such as 4")
        if value != value.to_integral_value():
            raise BadInput(self.label.text, text, "a whole number such as 4")
        return int(value)

    def show(self, value: int) -> str:
        return in_marks(f"{value:,}")


class NumberField(ParsedField[Decimal]):
    """A Decimal without a unit of its own, such as a temperature or a moisture."""

    inputmode = "decimal"

    def parse(self, text: str) -> Decimal:
        return read_number(text, self.label.text, "a number such as 12.5")

    def show(self, value: Decimal) -> str:
        return in_marks(f"{value.normalize():f}")


class MeterField(NumberField):
    """A Decimal from 0 to 100 as a meter shows it: 9.5, 9,5, 9.5% or 9.5 %. A refusal names the thing and an example.

    Args:
        label: shown above the box.
        what: the thing within a sentence, such as "the moisture".
        example: a usual reading, with a point.
        kwargs: as for any field of this kind.
    """

    def __init__(self, label: str, *, what: str, example: str, **kwargs: object) -> None:
        super().__init__(label, **kwargs)
        self.expected = f"{what} in percent, from 0 to {_WHOLE}, such as {example}"

    def parse(self, text: str) -> Decimal:
        try:
            read = read_number(text.removesuffix("%").strip(), self.label.text, self.expected)
        except BadInput as refusal:
            raise BadInput(self.label.text, text, refusal.expected) from refusal
        if not 0 <= read <= _WHOLE:
            raise BadInput(self.label.text, text, self.expected)
        return read


class PercentField(ParsedField[Fraction]):
    """A share as an exact Fraction, typed in percent."""

    inputmode = "decimal"

    def parse(self, text: str) -> Fraction:
        typed = text.removesuffix("%").strip()
        return Fraction(read_number(typed, self.label.text, "a percentage such as 8.25")) / 100

    def show(self, value: Fraction) -> str:
        return in_marks(f"{Decimal((value * 100).numerator) / (value * 100).denominator:f}")


class TextField(StringField):
    """One line, without the spaces around it; '' when left empty."""

    def __init__(self, label: str, *, required: bool = True, longest: int = _LONGEST_LINE, **kwargs: object) -> None:
        ends = (Required() if required else Optional(), _no_longer_than(longest))
        super().__init__(label, validators=ends, filters=(_stripped,), **kwargs)


class NoteField(TextAreaField):
    """Some lines, without the spaces around them; '' when left empty."""

    def __init__(self, label: str, *, required: bool = False, longest: int = _LONGEST_NOTE, **kwargs: object) -> None:
        ends = (Required() if required else Optional(), _no_longer_than(longest))
        super().__init__(label, validators=ends, filters=(_stripped,), **kwargs)


class VersionField(HiddenField):
    """The version a page was made from, so that a change made meanwhile elsewhere is noticed; NO_VERSION if lost."""

    def process_formdata(self, valuelist: list[str]) -> None:
        text = valuelist[0] if valuelist else ""
        self.data = int(text) if text.isascii() and text.isdigit() and len(text) <= _DIGITS else NO_VERSION

    def _value(self) -> str:
        return str(self.data)


def read_number(text: str, field: str, expected: str) -> Decimal:
    """A decimal number in the shop's marks, thousands set off or not; one or two decimals after the other mark too."""
    plain, mark = text.replace(units.THOUSANDS, " ").replace("−", "-"), display().mark
    asked = _ASK.fullmatch(plain)
    if mark is units.Mark.COMMA and asked:
        raise BadInput(field, text, f"either {asked[1]}{asked[2]} (thousands) or {asked[1]}.{asked[2]} (decimal)")
    if not _NUMBER[mark].fullmatch(plain):
        raise BadInput(field, text, expected)
    return Decimal(_pointed(plain, mark))


def read_money(text: str, field: str) -> int:
    """Minor units of an amount typed in this shop."""
    return units.parse_money(text, display().currency, field=field, mark=display().mark)


def ways() -> Ways:
    """How lengths are read in this shop, as arguments of units.parse_length."""
    return {"system": display().system, "mark": display().mark}


def _pointed(plain: str, mark: units.Mark) -> str:
    """The number with a point before its decimals and nothing between thousands."""
    if mark is units.Mark.POINT:
        lone = _LONE.fullmatch(plain)
        return f"{lone[1]}.{lone[2]}" if lone else plain.replace(",", "")
    if "," in plain or plain.count(".") > 1:
        plain = plain.replace(".", "")
    return plain.replace(" ", "").replace(",", ".")


def explain(refusal: BadInput) -> str:
    """A refusal beside its own box, where the box's name need not be said again."""
    return f"Read “{units.dated(str(refusal.received), display().day_form)}”, expected {told(refusal.expected)}."


def said(refusal: BadInput) -> str:
    """A refusal away from its box; what was typed stays as it was typed."""
    return str(BadInput(refusal.field, refusal.received, told(refusal.expected)))


def attach(form: FlaskForm, refusal: BadInput) -> None:
    """Put a room's refusal beside the box it is about; at the top of the form when no box bears its name."""
    wanted = refusal.field.casefold()
    for field in form:
        if wanted in {field.name.casefold(), field.label.text.casefold()}:
            field.errors = [*field.errors, explain(refusal)]
            return
    form.form_errors.append(said(refusal))


def box_attributes(field: Field, *, hint: bool) -> dict[str, str]:
    """HTML attributes that tie a box to its hint and its errors."""
    described = ([f"{field.id}-hint"] if hint else []) + ([f"{field.id}-error"] if field.errors else [])
    attributes = {"class": "box", "autocomplete": "off"}
    if isinstance(field, ParsedField):
        attributes["inputmode"] = field.inputmode
    if described:
        attributes["aria-describedby"] = " ".join(described)
    if field.errors:
        attributes["aria-invalid"] = "true"
    return attributes


def _stripped(text: str | None) -> str:
    return (text or "").strip()


def _no_longer_than(longest: int) -> Length:
    return Length(max=longest, message=f"Expected {longest:,} characters or fewer.")
