"""Programmes answered in a process of their own."""

import numpy as np
from journal.cutting.apart import Apart
from journal.cutting.highs import Limits, Program, answer

LIMITS = Limits(nodes=1000, seconds=20)


def covers(count):
    """So many columns, each in a row of its own that must be reached: every third twice, the others once."""
    program = Program()
    for number in range(count):
        row = program.row(2.0 if number % 3 == 0 else 1.0, 9.0)
        program.column(1.0, 0.0, 5.0, [row], [1.0])
    return program


def test_an_answer_larger_than_a_pipe_holds_comes_whole():
    # A pipe holds 64 KiB at once; 20,000 columns of eight bytes are 156 KiB.
    with Apart() as apart:
        found = apart.answer(covers(20_000), {}, LIMITS)
    assert found.finished
    assert found.value.sum() == 20_000 + 6_667


def test_one_programme_after_another_is_answered_as_here():
    with Apart() as apart:
        for count in (3, 12_000, 5):
            there, here = apart.answer(covers(count), {}, LIMITS), answer(covers(count), {}, LIMITS)
            assert (there.finished, there.bound) == (here.finished, here.bound)
            assert np.array_equal(there.value, here.value)


def test_a_process_told_to_stop_gives_what_it_has_and_the_next_programme_a_new_one():
    with Apart() as apart:
        stopped = apart.answer(covers(5), {}, LIMITS, stop=lambda: True)
        assert not stopped.finished
        assert apart.answer(covers(5), {}, LIMITS).finished


def test_a_programme_solved_before_any_branching_has_its_bound():
    found = answer(covers(4), {}, LIMITS)
    assert found.bound == found.value.sum() == 6.0
