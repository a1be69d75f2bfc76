"""Dice thrown once for the whole book: an operation's luck does not hang on what is planned beside it."""

from dataclasses import replace

import numpy as np
import pytest
from journal.errors import MissingReference
from journal.pace.model import Task
from journal.quote.throws import throw
from tests.quote.commissions import BENCH, NO_LOGS

THROWS = throw(NO_LOGS, seed=7, draws=4_000)


def test_an_operation_has_the_same_minutes_whatever_stands_beside_it():
    everything = THROWS.minutes(BENCH.tasks)
    for column, task in enumerate(BENCH.tasks):
        assert np.array_equal(THROWS.minutes([task])[:, 0], everything[:, column])
    backwards = THROWS.minutes(BENCH.tasks[::-1])
    assert np.array_equal(backwards[:, ::-1], everything)


def test_the_same_seed_throws_the_same_and_another_does_not():
    tasks = BENCH.tasks
    assert np.array_equal(throw(NO_LOGS, seed=7, draws=4_000).minutes(tasks), THROWS.minutes(tasks))
    assert not np.array_equal(throw(NO_LOGS, seed=8, draws=4_000).minutes(tasks), THROWS.minutes(tasks))


def test_they_are_the_draws_of_the_pace_model():
    # The same distribution by two ways: quantiles of the total of a bench, within the noise of the draws.
    many = throw(NO_LOGS, seed=1, draws=60_000).minutes(BENCH.tasks).sum(axis=1)
    model = NO_LOGS.draw([Task(task.code, task.baseline_minutes) for task in BENCH.tasks], 60_000, 2).total
    chances = (0.1, 0.25, 0.5, 0.75, 0.9)
    assert np.quantile(many, chances) == pytest.approx(np.quantile(model, chances), rel=0.03)


def test_any_run_of_draws_is_as_good_as_another():
    total = THROWS.minutes(BENCH.tasks).sum(axis=1)
    halves = [np.quantile(half, 0.5) for half in (total[:2_000], total[2_000:])]
    assert halves[0] == pytest.approx(halves[1], rel=0.05)


def test_small_tasks_scatter_more():
    small, large = (replace(BENCH.tasks[0], quantity=quantity) for quantity in (1.0, 10_000.0))
    spread = [np.log(THROWS.minutes([task])[:, 0]).std() for task in (small, large)]
    assert small.baseline_minutes < large.baseline_minutes
    assert spread[0] > spread[1]


def test_an_operation_not_in_the_book_is_named():
    with pytest.raises(MissingReference, match="juggle"):
        THROWS.minutes([replace(BENCH.tasks[0], code="juggle")])
