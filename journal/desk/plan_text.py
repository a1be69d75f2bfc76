"""A cutting problem with its plan as text, and back: the text is kept, so that a plan is drawn again and never re-made.

The text follows the fields of the values; a field that an older text does not have takes its default.
"""

from __future__ import annotations

import json
from dataclasses import MISSING, fields, is_dataclass
from fractions import Fraction
from types import NoneType, UnionType
from typing import Any, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from journal.cutting.problem import BoardProblem, CuttingResult
from journal.errors import BadInput, JournalError
from journal.records.base import canonical, checksum

T = TypeVar("T")


def to_text(problem: BoardProblem, result: CuttingResult) -> str:
    """The one text of a problem and its plan."""
    return canonical({"problem": _plain(problem), "result": _plain(result)})


def from_text(text: str) -> tuple[BoardProblem, CuttingResult]:
    """The problem and the plan of a text.

    Raises:
        BadInput: it is not such a text.
    """
    try:
        kept = json.loads(text)
        return _value(BoardProblem, kept["problem"]), _value(CuttingResult, kept["result"])
    except JournalError:
        raise
    except (KeyError, TypeError, ValueError) as error:
        raise BadInput("cutting plan", text, f"the text of a problem and its plan ({error})") from error


def problem_digest(problem: BoardProblem) -> str:
    """Tells one job of cutting from another: blanks, rules, cross-section on sale; prices, lengths, counts left out."""
    sections = sorted({(stock.family, stock.thickness, stock.width) for stock in problem.stock if not stock.on_hand})
    blanks = sorted((_plain(blank) for blank in problem.blanks), key=canonical)
    return checksum(canonical({"blanks": blanks, "rules": _plain(problem.rules), "sections": sections}))


def _plain(value: object) -> Any:  # noqa: ANN401 - what JSON can hold
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, frozenset):
        return sorted(_plain(each) for each in value)
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    return str(value) if isinstance(value, Fraction) else value


def _value(kind: type[T], plain: Any) -> T:  # noqa: ANN401 - what JSON can hold
    """A value of a kind, by the kind's own annotations."""
    if is_dataclass(kind):
        return _dataclass(kind, plain)
    origin, inner = get_origin(kind), get_args(kind)
    if origin is tuple:
        kinds = [inner[0]] * len(plain) if inner[-1] is Ellipsis else inner
        return cast("T", tuple(_value(one, each) for one, each in zip(kinds, plain, strict=True)))
    if origin is frozenset:
        return cast("T", frozenset(_value(inner[0], each) for each in plain))
    if origin in (Union, UnionType):
        (some,) = (one for one in inner if one is not NoneType)
        return cast("T", None if plain is None else _value(some, plain))
    if origin is Literal:
        if plain not in inner:
            raise ValueError(f"{plain} is not one of {inner}")
        return cast("T", plain)
    return cast("T", cast("Any", kind)(plain))


def _dataclass(kind: type[T], plain: dict[str, Any]) -> T:
    # The room names some types for checkers only.
    hints = get_type_hints(kind, localns={"Fraction": Fraction})
    given = {}
    for field in fields(cast("Any", kind)):
        if field.name in plain:
            given[field.name] = _value(hints[field.name], plain[field.name])
        elif field.default is MISSING:
            raise ValueError(f"{field.name} is missing")
    return kind(**given)
