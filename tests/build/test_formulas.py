import ast
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.build.formulas import FUNCTIONS, LONGEST, Calculator, check_names, check_word, read_formula
from journal.errors import BadInput
from journal.units import System

NAMES = {"height": Fraction(34), "top": Fraction(13, 4), "wood": "ash", "none": Fraction(0)}


def value(text, system=System.INCH):
    return Calculator(system).work_out(read_formula(text), NAMES)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("height - top", "123/4"),
        ("3 1/2 + 1", "9/2"),
        ("3½ × 2", "7"),
        ("10 1/2 − 2 1/4", "33/4"),
        ("12-1/2", "23/2"),
        ("0.1 * 3", "3/10"),
        ("height / 3", "34/3"),
        ("height // 5", "6"),
        ("height % 5", "4"),
        ("min(height, 8, top)", "13/4"),
        ("max(height, 8)", "34"),
        ("floor(top) + ceil(top)", "7"),
        ("round_up(height, 5)", "35"),
        ("round_down(height, 1/3)", "34"),
        ("mm(25.4)", "1"),
        ("inch(2)", "2"),
        ("height > 30", "1"),
        ("30 < height < 34", "0"),
        ("1 if wood == 'ash' else 2", "1"),
        ("1 if wood != 'ash' and height else 2", "2"),
        ("not none or 1/none", "1"),
        ("none and 1/none", "0"),
        ("-top", "-13/4"),
        ("True + 1", "2"),
    ],
)
def test_what_a_formula_comes_to(text, expected):
    assert value(text) == Fraction(expected)


def test_in_a_metric_design_a_bare_number_is_a_millimetre():
    assert value("mm(300) + 1", System.METRIC) == 301
    assert value("inch(1)", System.METRIC) == Fraction("25.4")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "height +",
        "height = 3",
        "height; top",
        "2 ** 9",
        "height.real",
        "height[0]",
        "[1, 2]",
        "{1: 2}",
        "lambda: 1",
        "[x for x in (1,)]",
        "f'{height}'",
        "__import__('os')",
        "open('a')",
        "(lambda: 1)()",
        "min()",
        "min(*height)",
        "floor(x=1)",
        "height is top",
        "height << 2",
        "~height",
        "(y := 3)",
        "1" + "+1" * LONGEST,
        "(" * 190,
    ],
)
def test_more_than_a_sum_is_refused(text):
    with pytest.raises(BadInput):
        value(text)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("1 / none", "divide by nought"),
        ("1 // none", "divide by nought"),
        ("1 % none", "divide by nought"),
        ("wood + 1", "a number where it has the word"),
        ("wood * 3", "a number where it has the word"),
        ("1 if wood else 2", "a number where it has the word"),
        ("wood == 3", "two words or two numbers"),
        ("9" * 60, "beyond all measure"),
        ("1e300", "beyond all measure"),
        ("1e999", "plain number"),
        ("round_up(top, 0)", "a step above nought"),
        ("ceil(1, 2)", "1 value between"),
        ("None", "plain number"),
        ("1j", "plain number"),
    ],
)
def test_what_cannot_be_worked_out_says_why(text, why):
    with pytest.raises(BadInput, match=why):
        value(text)


def test_numbers_that_grow_without_end_are_stopped():
    def squared(times):
        names = {"a0": Fraction(10**9)}
        for n in range(times):
            names[f"a{n + 1}"] = Calculator(System.INCH).work_out(read_formula(f"a{n} * a{n}"), names)
        return names[f"a{times}"]

    assert squared(2) == 10**36
    with pytest.raises(BadInput, match="beyond all measure"):
        squared(8)


def test_an_unknown_name_is_told_with_the_likest_known_one():
    formula = read_formula("hieght - top")
    with pytest.raises(BadInput, match="did you mean height"):
        check_names(formula, frozenset(NAMES), "length")
    check_names(read_formula("height - min(top, 3)"), frozenset(NAMES), "length")


@pytest.mark.parametrize("word", ["", "Length", "2x", "if", "not", "n", "min", "leg-wide", "x" * 41, "_a", "é"])
def test_a_word_that_no_formula_could_use_is_refused(word):
    with pytest.raises(BadInput):
        check_word(word, "name")


@given(st.integers(0, 500), st.integers(0, 500), st.integers(1, 64), st.sampled_from("+-*/"))
def test_sums_are_exact(a, b, c, sign):
    text = f"({a}/{c}) {sign} ({b} + 1)"
    left, right = Fraction(a, c), Fraction(b + 1)
    expected = {"+": left + right, "-": left - right, "*": left * right, "/": left / right}
    assert value(text) == expected[sign]


@given(st.text(alphabet="abn019 +-*/().,<>=½'[]{}:;\\\n_if else", max_size=40))
def test_whatever_is_typed_is_a_number_a_word_or_refused(text):
    try:
        formula = read_formula(text)
        check_names(formula, frozenset(NAMES), "cell")
        found = Calculator(System.INCH).work_out(formula, NAMES)
    except BadInput:
        return
    assert isinstance(found, Fraction | str)
    called = {node.func.id for node in ast.walk(formula.tree) if isinstance(node, ast.Call)}
    assert called <= set(FUNCTIONS)
