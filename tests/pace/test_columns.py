"""Which column holds what."""

import pytest
from journal.errors import BadInput
from journal.pace.cells import DayOrder
from journal.pace.columns import LEAVE_OUT, Choices, Role, as_values, from_values, guess
from journal.pace.sheet import Sheet


def roles(*heads):
    return guess(Sheet("old.csv", heads, (2,), (("",) * len(heads),))).roles


def test_headings_in_a_shops_own_words_are_known():
    assert roles("Job", "Date done", "Task", "Qty.", "Time (h)", "Remarks", "Wood") == (
        Role.PROJECT,
        Role.DATE,
        Role.WORK,
        Role.QUANTITY,
        Role.HOURS,
        Role.NOTE,
        Role.UNUSED,
    )


def test_a_role_goes_to_one_column_and_a_second_time_to_none():
    assert roles("Project", "Project", "Minutes", "Hours") == (Role.PROJECT, Role.UNUSED, Role.MINUTES, Role.UNUSED)


def test_a_title_without_a_number_is_the_project():
    assert roles("Job name", "Date") == (Role.PROJECT, Role.DATE)


def test_missing_and_doubled_columns_are_said():
    said = " ".join(Choices((Role.PROJECT, Role.PROJECT, Role.MINUTES, Role.HOURS)).troubles())
    for word in ("the day", "operation or stage", "Two columns hold the project", "minutes and another hours"):
        assert word in said
    assert Choices((Role.PROJECT, Role.DATE, Role.WORK, Role.HOURS)).troubles() == ()


def test_choices_survive_being_kept():
    chosen = Choices(
        (Role.PROJECT, Role.UNUSED), {"sanding": "sand", "tea": LEAVE_OUT}, DayOrder.DAY_FIRST, True, True, "old "
    )
    assert from_values(as_values(chosen)) == chosen


def test_a_prefix_is_short():
    with pytest.raises(BadInput, match="prefix"):
        Choices((), prefix="x" * 21)
