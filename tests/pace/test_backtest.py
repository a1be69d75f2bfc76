"""Walking through past projects: only what was known then, fair to the rivals, honest when one of them wins."""

import json
from dataclasses import replace
from datetime import date, timedelta

import pytest
from journal.errors import BadInput
from journal.pace.backtest import AVERAGE, BOOK, LAST, PACES, LeftOut, run
from journal.pace.backtest_values import summary
from journal.pace.integrate import Sampled
from journal.pace.model import Task
from tests.pace.pasts import START, steady
from tests.pace.shops import make_book

BOOK_OF_FOUR = make_book(4)
FEW = Sampled(pilot=32, points=64, most=1)


def walk(past, **given):
    return run(past, BOOK_OF_FOUR, **{"integrator": FEW, "draws": 1000} | given)


@pytest.fixture(scope="module")
def slow_shop():
    return walk([steady(f"P{place:02d}", place) for place in range(10)])


def test_a_shop_half_again_as_slow_as_the_book_is_soon_guessed_right(slow_shop):
    first, last = slow_shop.guesses[0], slow_shop.guesses[-1]
    assert first.minutes[50] == pytest.approx(240, rel=0.2)
    assert last.minutes[50] == pytest.approx(360, rel=0.03)
    assert [guess.known for guess in slow_shop.guesses] == list(range(10))
    assert first.minutes[90] / first.minutes[10] > 2 * last.minutes[90] / last.minutes[10]


def test_the_book_is_beaten_there_and_the_words_say_so(slow_shop):
    by_name = {score.name: score for score in slow_shop.table}
    assert list(by_name) == [PACES, BOOK, LAST, AVERAGE]
    assert by_name[BOOK].median_error == pytest.approx(1 / 3)
    assert by_name[PACES].median_error < 0.1
    against_book = next(one for one in slow_shop.comparisons if one.rival == BOOK)
    assert against_book.verdict == "ahead"
    assert not against_book.wins_median
    assert any(sentence.startswith("The starting book guessed worse: 33% off") for sentence in slow_shop.said)


def test_a_rival_that_wins_is_said_to_win(slow_shop):
    """Every project alike: the last one is exactly right, which no range can beat."""
    against_last = next(one for one in slow_shop.comparisons if one.rival == LAST)
    assert against_last.wins_median
    assert against_last.wins_score
    assert any(sentence.startswith("The last similar project wins here: 0% off") for sentence in slow_shop.said)


def test_too_few_projects_to_tell_from_luck():
    ratios = (1.2, 0.8, 1.3, 0.9)
    found = walk([steady(f"P{place}", place, ratio=ratio) for place, ratio in enumerate(ratios)])
    assert {one.verdict for one in found.comparisons} == {"too close to call"}
    assert all("cannot tell that from luck" in sentence for sentence in found.said[2:])


def test_only_projects_finished_by_then_are_known():
    """The second is quoted while the first is still in build; the third after both."""
    first, second = steady("A", 0), steady("B", 0, quoted=START + timedelta(days=20))
    third = steady("C", 0, quoted=START + timedelta(days=61))
    found = walk([third, second, first])
    assert [(guess.code, guess.known) for guess in found.guesses] == [("A", 0), ("B", 0), ("C", 2)]


def test_what_comes_later_changes_no_earlier_guess(slow_shop):
    past = [steady(f"P{place:02d}", place) for place in range(9)]
    other = walk([*past, steady("P09", 9, ratio=40.0)])
    assert other.guesses[:9] == slow_shop.guesses[:9]
    assert other.guesses[9].minutes == slow_shop.guesses[9].minutes
    assert other.guesses[9].place == 1.0


def test_the_rivals_by_hand():
    past = [
        steady("A", 0, ratio=1.0, benches=2, likeness="table"),
        steady("B", 1, ratio=2.0, likeness="bench"),
        steady("C", 2, ratio=1.0, benches=3, likeness="table"),
        steady("D", 3, ratio=1.0, likeness="cabinet"),
    ]
    found = walk(past).guesses
    assert found[0].rivals == {BOOK: 480.0}
    assert found[2].rivals == {BOOK: 720.0, LAST: 240.0 * 3, AVERAGE: (240 + 480) / 2 * 3}
    assert found[3].rivals[LAST] == 240.0  # none alike: simply the last


def test_work_nobody_planned_is_learned_and_guessed():
    past = [steady(f"P{place:02d}", place, beside=1.25) for place in range(10)]
    plain = [steady(f"P{place:02d}", place) for place in range(10)]
    with_it, without = walk(past).guesses[-1], walk(plain).guesses[-1]
    assert with_it.minutes[50] / without.minutes[50] == pytest.approx(1.25, abs=0.05)
    assert with_it.actual_minutes == 450.0


def test_no_project_and_a_single_one_are_answered():
    none, one = walk([]), walk([steady("A", 0)])
    assert (none.paces, none.table, none.comparisons) == (None, (), ())
    assert none.said == ("No finished project to test on yet.",)
    assert one.paces.projects == 1
    assert one.table == ()
    assert one.said[-1] == "The rivals had nothing to go by yet."


def test_progress_is_told_project_by_project():
    told = []
    walk([steady(f"P{place}", place) for place in range(3)], progress=lambda done, of: told.append((done, of)))
    assert told == [(1, 3), (2, 3), (3, 3)]


def test_the_same_projects_in_any_order_give_the_same_answer(slow_shop):
    assert walk([steady(f"P{place:02d}", place) for place in reversed(range(10))]) == slow_shop


def test_the_summary_is_json_and_keeps_what_was_left_out(slow_shop):
    found = json.loads(json.dumps(summary(replace(slow_shop, left_out=(LeftOut("X", "no time"),)))))
    assert (found["version"], found["projects"], found["compared_on"]) == (1, 10, 9)
    assert [score["name"] for score in found["table"]] == [PACES, BOOK, LAST, AVERAGE]
    assert set(found["paces"]["held"]) == {"50", "80", "90"}
    assert list(found["guesses"][0]["minutes"]) == ["p05", "p10", "p25", "p50", "p75", "p90", "p95"]
    assert found["left_out"] == [{"code": "X", "why": "no time"}]


@pytest.mark.parametrize(
    ("changed", "says"),
    [({"minutes": 0.0}, "minutes"), ({"planned_minutes": float("nan")}, "planned"), ({"tasks": ()}, "operation"),
     ({"benches": 0}, "benches")],
)  # fmt: skip
def test_a_project_that_cannot_be_tested_is_refused(changed, says):
    with pytest.raises(BadInput, match=says):
        replace(steady("A", 0), **changed)


def test_an_operation_that_left_the_book_is_named():
    past = replace(steady("A", 0), tasks=(Task("juggling", 10.0),))
    with pytest.raises(Exception, match="juggling"):
        walk([past])


def test_days_years_apart_are_walked_through():
    past = [steady("A", 0), steady("B", 0, quoted=date(2035, 1, 1))]
    assert walk(past).guesses[1].known == 1
