"""A formula in named dimensions, such as “height - top”, read once and worked out exactly.

Every number is a fraction, so that ⅓ of 72 is 24 and nothing is lost before the last rounding. A formula can only add,
subtract, multiply, divide, compare and choose; it cannot call, import or look into anything else.
"""

from __future__ import annotations

import ast
import difflib
import keyword
import math
import re
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Any, TypeAlias

from simpleeval import SimpleEval  # type: ignore[import-untyped]

from journal import units
from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

Value: TypeAlias = Fraction | str

LONGEST = 200
# No bench has a dimension with more digits; what grows past them is a slip that would only grow on.
_MOST_BITS = 160
FUNCTIONS = ("min", "max", "floor", "ceil", "round_up", "round_down", "mm", "inch")
EXPECTED = "numbers, names, + - * / // %, comparisons, and, or, not, “a if b else c”, " + ", ".join(FUNCTIONS)

_NODES: tuple[type[ast.AST], ...] = (
    ast.Name,
    ast.UnaryOp,
    ast.BinOp,
    ast.Compare,
    ast.Call,
)
_BENEATH: tuple[type[ast.AST], ...] = (
    ast.BoolOp,
    ast.IfExp,
    ast.Constant,
    ast.operator,
    ast.unaryop,
    ast.boolop,
    ast.cmpop,
    ast.Load,
)
_GLYPHS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_SIGNS = str.maketrans({"×": "*", "−": "-", "÷": "/", "–": "-", "≤": " <= ", "≥": " >= "})


class _CannotBeWorkedOut(ValueError):  # noqa: N818 - an error's name says what happened, as in errors.py
    """Why, in words; becomes a BadInput where the cell is known."""


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula that was read: its text as written, and the names it stands on."""

    text: str
    names: frozenset[str]
    tree: ast.expr = field(compare=False, repr=False)


@lru_cache(maxsize=4096)
def read_formula(text: str, name: str = "formula") -> Formula:
    """Read a formula; “3 1/2”, “3½” and “×” are understood.

    Raises:
        BadInput: when it is empty, too long, or more than a sum.
    """
    if not text.strip():
        raise BadInput(name, text, "a number or a formula")
    if len(text) > LONGEST:
        raise BadInput(name, text, f"at most {LONGEST} characters; work part of it out under [worked] first")
    try:
        tree = ast.parse(_plain(text).strip(), mode="eval").body
    except (SyntaxError, ValueError, MemoryError, RecursionError):
        raise BadInput(name, text, f"a formula: {EXPECTED}") from None
    called = {id(node.func) for node in ast.walk(tree) if isinstance(node, ast.Call)}
    for node in ast.walk(tree):
        _refuse_other(node, name, text)
    names = frozenset(node.id for node in ast.walk(tree) if isinstance(node, ast.Name) and id(node) not in called)
    return Formula(text, names, tree)


def _plain(text: str) -> str:
    """The signs of the trade in those of a formula: 3½ and 3 1/2 → (3+1/2)."""
    for glyph, fraction in _GLYPHS.items():
        text = text.replace(glyph, f" {fraction} ")
    text = text.translate(_SIGNS)
    text = re.sub(r"(?<![\w.])(\d+) +(\d+/\d+)(?![\w.])", r"(\1+\2)", text)
    return re.sub(r"\s+", " ", text)


def _refuse_other(node: ast.AST, name: str, text: str) -> None:
    if isinstance(node, ast.Call):
        if not isinstance(node.func, ast.Name) or node.func.id not in FUNCTIONS or node.keywords or not node.args:
            raise BadInput(name, text, f"only these with ( ) after them: {', '.join(FUNCTIONS)}")
    elif isinstance(node, ast.BinOp | ast.UnaryOp):
        if type(node.op) not in _OPERATORS:
            raise BadInput(name, text, EXPECTED)
    elif (isinstance(node, ast.Compare) and any(type(op) not in _OPERATORS for op in node.ops)) or not isinstance(
        node, _NODES + _BENEATH
    ):
        raise BadInput(name, text, EXPECTED)


def check_names(formula: Formula, known: frozenset[str], name: str) -> None:
    """Refuse a formula that stands on a name nobody gave.

    Raises:
        BadInput: names it, and the likest that is known.
    """
    for word in sorted(formula.names - known):
        near = difflib.get_close_matches(word, sorted(known), n=1)
        likest = f"did you mean {near[0]}?" if near else f"known: {', '.join(sorted(known)[:12]) or 'none'}"
        raise BadInput(name, formula.text, f"a known name; {word} is none ({likest})")


def check_word(word: str, field_name: str) -> None:
    """Refuse a name that a formula could not use.

    Raises:
        BadInput: unless it is lower-case letters, digits and _, and means nothing else.
    """
    plain = re.fullmatch(r"[a-z][a-z0-9_]{0,39}", word)
    if not plain or keyword.iskeyword(word) or word in FUNCTIONS or word == "n":
        raise BadInput(field_name, word, f"lower-case letters, digits and _, and not one of n, {', '.join(FUNCTIONS)}")


class Calculator:
    """Works formulas out, one after the other.

    Args:
        system: of the formulas' bare numbers: in a metric design mm( ) changes nothing and inch( ) gives millimetres.
    """

    def __init__(self, system: units.System) -> None:
        functions = {**_FUNCTIONS, **_UNIT_FUNCTIONS[system]}
        self._evaluator = SimpleEval(operators=dict(_OPERATORS), functions=functions, names={})
        found = self._evaluator.nodes
        self._evaluator.nodes = {
            **{kind: found[kind] for kind in _NODES},
            ast.Constant: _constant,
            ast.IfExp: self._chosen,
            ast.BoolOp: self._both_or_either,
        }

    def work_out(self, formula: Formula, names: Mapping[str, Value], name: str = "formula") -> Value:
        """What a formula comes to with these names, exactly; 1 and 0 stand for yes and no.

        Raises:
            BadInput: a division by nought, a word where a number is wanted, a number beyond all measure.
        """
        self._evaluator.names = names
        try:
            found: Value = self._evaluator.eval(formula.text, previously_parsed=formula.tree)
        except _CannotBeWorkedOut as why:
            raise BadInput(name, formula.text, str(why)) from None
        return found

    def _chosen(self, node: ast.IfExp) -> Value:
        found: Value = self._evaluator._eval(node.body if self._holds(node.test) else node.orelse)  # noqa: SLF001
        return found

    def _both_or_either(self, node: ast.BoolOp) -> Fraction:
        found = (self._holds(value) for value in node.values)
        return Fraction(all(found) if isinstance(node.op, ast.And) else any(found))

    def _holds(self, node: ast.expr) -> bool:
        # The library would take any word for a yes.
        return bool(_number(self._evaluator._eval(node)))  # noqa: SLF001


def _constant(node: ast.Constant) -> Value:
    value: Any = node.value
    if isinstance(value, bool):
        return Fraction(value)
    if isinstance(value, str):
        return value
    if isinstance(value, int | float) and math.isfinite(value):
        return _measured(Fraction(repr(value)))
    raise _CannotBeWorkedOut("a plain number")


def _number(value: Value) -> Fraction:
    if isinstance(value, str):
        raise _CannotBeWorkedOut(f"a number where it has the word “{value}”; words can only be compared, with == or !=")
    return value


def _measured(value: Fraction) -> Fraction:
    if value.numerator.bit_length() > _MOST_BITS or value.denominator.bit_length() > _MOST_BITS:
        raise _CannotBeWorkedOut("a number of the size of a bench; it grows beyond all measure")
    return value


def _sum_of(act: Callable[[Fraction, Fraction], Fraction]) -> Callable[[Value, Value], Fraction]:
    def worked(a: Value, b: Value) -> Fraction:
        left, right = _number(a), _number(b)
        try:
            return _measured(Fraction(act(left, right)))
        except ZeroDivisionError:
            raise _CannotBeWorkedOut("a formula that does not divide by nought; what it divides by is 0 here") from None

    return worked


def _compared(act: Callable[[Fraction, Fraction], bool]) -> Callable[[Value, Value], Fraction]:
    return lambda a, b: Fraction(act(_number(a), _number(b)))


def _same(a: Value, b: Value) -> bool:
    if isinstance(a, str) != isinstance(b, str):
        raise _CannotBeWorkedOut("two words or two numbers to compare")
    return a == b


_OPERATORS: dict[type[ast.AST], Callable[..., Fraction]] = {
    ast.Add: _sum_of(lambda a, b: a + b),
    ast.Sub: _sum_of(lambda a, b: a - b),
    ast.Mult: _sum_of(lambda a, b: a * b),
    ast.Div: _sum_of(lambda a, b: a / b),
    ast.FloorDiv: _sum_of(lambda a, b: Fraction(a // b)),
    ast.Mod: _sum_of(lambda a, b: a % b),
    ast.Lt: _compared(lambda a, b: a < b),
    ast.LtE: _compared(lambda a, b: a <= b),
    ast.Gt: _compared(lambda a, b: a > b),
    ast.GtE: _compared(lambda a, b: a >= b),
    ast.Eq: lambda a, b: Fraction(_same(a, b)),
    ast.NotEq: lambda a, b: Fraction(not _same(a, b)),
    ast.Not: lambda a: Fraction(not _number(a)),
    ast.USub: lambda a: -_number(a),
    ast.UAdd: _number,
}


def _step(value: Value, step: Value, rounded: Callable[[Fraction], int]) -> Fraction:
    if _number(step) <= 0:
        raise _CannotBeWorkedOut("a step above nought to round to")
    return _measured(rounded(_number(value) / _number(step)) * _number(step))


def _takes(count: int, act: Callable[..., Fraction]) -> Callable[..., Fraction]:
    """A function of exactly so many values."""

    def called(*values: Value) -> Fraction:
        if len(values) != count:
            raise _CannotBeWorkedOut(f"{count} value{'s' if count > 1 else ''} between the ( )")
        return act(*values)

    return called


_FUNCTIONS: dict[str, Callable[..., Fraction]] = {
    "min": lambda *values: min(map(_number, values)),
    "max": lambda *values: max(map(_number, values)),
    "floor": _takes(1, lambda a: Fraction(math.floor(_number(a)))),
    "ceil": _takes(1, lambda a: Fraction(math.ceil(_number(a)))),
    "round_up": _takes(2, lambda a, step: _step(a, step, math.ceil)),
    "round_down": _takes(2, lambda a, step: _step(a, step, math.floor)),
}
_MM_PER_INCH = Fraction(units.NM_PER_INCH, units.NM_PER_MM)
_UNIT_FUNCTIONS: dict[units.System, dict[str, Callable[..., Fraction]]] = {
    units.System.INCH: {
        "mm": _takes(1, lambda a: _measured(_number(a) / _MM_PER_INCH)),
        "inch": _takes(1, _number),
    },
    units.System.METRIC: {
        "mm": _takes(1, _number),
        "inch": _takes(1, lambda a: _measured(_number(a) * _MM_PER_INCH)),
    },
}
