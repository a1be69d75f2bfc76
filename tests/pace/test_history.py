"""A spreadsheet of past jobs as projects, quantities and hours."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.pace.cells import DayOrder
from journal.pace.columns import LEAVE_OUT, Choices, guess
from journal.pace.history import PastEntry, PastQuantity, read_history
from journal.pace.model import BookPace
from journal.pace.sheet import Sheet, read_text

TODAY = date(2026, 3, 2)
BOOK = {
    entry.code: entry
    for entry in (
        BookPace("joint", "milling", 5, 0.1, "Joint one face", "ft"),
        BookPace("sand", "finishing", 6, 1.6, "Sand", "ft2·grit"),
        BookPace("bore", "boring", 12, 4.5, "Bore holes", "hole"),
        BookPace("deliver", "delivery", 45, 0, "Load and deliver", "trip"),
        BookPace("rework", "shop", 0, 4, "Rework", "h"),
    )
}
NAMES = {"milling": "Milling", "finishing": "Finishing", "boring": "Boring and edges", "shop": "Shop"}


def read(text, **choices):
    sheet = read_text(text, "old.csv") if isinstance(text, str) else text
    return read_history(sheet, replace(guess(sheet), **choices), BOOK, today=TODAY, stage_names=NAMES)


def problems(text, **choices):
    return [str(problem) for problem in read(text, **choices).problems]


class TestPlainRows:
    def test_a_row_an_operation_of_a_project(self):
        found = read(
            "job,title,date,task,qty,setups,hours,people,note\nA,Bench,2020-01-02,joint one FACE,60,2,1.5,2,wet\n"
        )
        (job,) = found.jobs
        assert (job.number, job.title, job.first_on, job.last_on) == ("A", "Bench", date(2020, 1, 2), date(2020, 1, 2))
        assert job.entries == (PastEntry(2, date(2020, 1, 2), "joint", False, 5400, 2, False, "wet"),)
        assert job.entries[0].minutes == 180
        assert job.quantities == (PastQuantity(2, "joint", 60.0, 2),)
        assert found.problems == ()

    def test_a_row_a_stage_with_what_was_done_in_it(self):
        found = read("job,date,task,qty,min\nA,2020-01-02,Boring and edges,,90\nA,2020-01-02,bore,12,\n")
        (job,) = found.jobs
        assert [(entry.code, entry.by_stage) for entry in job.entries] == [("boring", True)]
        assert job.quantities == (PastQuantity(3, "bore", 12.0, 1),)

    def test_time_entries_add_up_and_each_keeps_its_day(self):
        text = "job,date,task,qty,min\nA,2020-01-02,sand,30,60\na ,2020-01-03,sand,,45\nA,2020-01-05,sand,20,30\n"
        (job,) = read(text).jobs
        assert [entry.on.day for entry in job.entries] == [2, 3, 5]
        assert job.quantities == (PastQuantity(2, "sand", 50.0, 2),)
        assert (job.first_on.day, job.last_on.day) == (2, 5)

    def test_a_log_of_one_entry_is_a_log(self):
        assert len(read("job,date,task,min\nA,2020-01-02,sand,60\n").jobs[0].entries) == 1

    def test_work_done_again_is_marked_by_its_column_or_its_word(self):
        found = read("job,date,task,qty,min,rework\nA,2020-01-02,sand,5,60,yes\nA,2020-01-02,Rework,,30,\n")
        assert [entry.rework for entry in found.jobs[0].entries] == [True, True]
        assert found.jobs[0].quantities == ()
        assert any("done again" in note for note in found.notes)

    def test_what_has_only_set_ups_is_counted_by_them(self):
        (job,) = read("job,date,task,qty,min\nA,2020-01-02,deliver,3,140\n").jobs
        assert job.quantities[0].setups == 3

    @given(
        st.lists(st.tuples(st.sampled_from("ABC"), st.sampled_from(["sand", "joint"]), st.integers(1, 600)), min_size=1)
    )
    def test_no_hour_is_lost_and_none_is_made(self, rows):
        sheet = Sheet(
            "old.csv",
            ("job", "date", "task", "qty", "min"),
            tuple(range(2, len(rows) + 2)),
            tuple((job, "2020-01-02", task, "7", str(minutes)) for job, task, minutes in rows),
        )
        found = read(sheet)
        assert sum(entry.minutes for job in found.jobs for entry in job.entries) == sum(row[2] for row in rows)
        assert sum(line.quantity for job in found.jobs for line in job.quantities) == 7 * len(rows)
        assert {entry.line for job in found.jobs for entry in job.entries} == set(sheet.lines)


class TestBadRows:
    def test_every_bad_place_is_named_with_its_line_and_heading(self):
        text = (
            "Job,Day,Task,Qty,Minutes,Crew\n"
            ",2020-01-02,sand,1,60,\n"
            "A,soon,sand,1,60,\n"
            "A,2030-01-02,sand,1,60,\n"
            "A,2020-01-02,,1,60,\n"
            "A,2020-01-02,sand,-4,60,half\n"
            "A,2020-01-02,sand,1,-5,\n"
            "A,2020-01-02,sand,,,\n"
            "A,2020-01-02,milling,,,\n"
            "=A1,2020-01-02,sand,1,60,\n"
            "A,2020-01-02,sand,1,4000,\n"
        )
        found = problems(text)
        for start in (
            "line 2, Job: read nothing",
            "line 3, Day: read “soon”",
            "line 4, Day: read “2030-01-02”, expected a day up to today",
            "line 5, Task: read nothing",
            "line 6, Qty: read “-4”",
            "line 6, Crew: read “half”",
            "line 7, Minutes: read “-5”",
            "line 8, Minutes: read nothing, expected a quantity, a time, or both",
            "line 9, Minutes: read nothing, expected the time it took",
            "line 10, Job: read “=A1”, expected plain text",
            "line 11, Minutes: read “4000”, expected at most 60 hours",
        ):
            assert any(problem.startswith(start) for problem in found), start
        assert len(found) == 11

    def test_nothing_but_zeros_is_said_once(self):
        text = "job,date,task,qty,min\n" + "A,2020-01-02,sand,1,0\n" * 50
        (found,) = problems(text)
        assert "all 50 rows with a time say zero; is the time in another column than “min”?" in found

    def test_one_zero_among_times_is_a_bad_row(self):
        (found,) = problems("job,date,task,min\nA,2020-01-02,sand,0\nA,2020-01-02,sand,5\n")
        assert found.startswith("line 2, min: read “0”, expected a time above zero")

    def test_forty_hours_in_a_row_are_taken_and_said(self):
        found = read("job,date,task,qty,hours\nA,2020-01-02,sand,1000,40\n")
        assert found.problems == ()
        assert found.jobs[0].entries[0].seconds == 144_000
        assert "1 row with more than 24 hours, taken as the sum of several days" in found.notes

    def test_columns_that_cannot_be_read_are_refused(self):
        with pytest.raises(BadInput, match="No column says the day"):
            read("job,task,min\nA,sand,5\n")


class TestWords:
    TEXT = "job,date,task,qty,min\nA,2020-01-02,Sanding,1,60\nA,2020-01-02,Tea,,30\nA,2020-01-02,sand,1,10\n"

    def test_a_word_the_book_does_not_know_waits_for_a_decision_and_is_no_bad_row(self):
        found = read(self.TEXT)
        words = {use.written: use for use in found.words}
        assert (words["Sanding"].code, words["Sanding"].near[0]) == ("", "sand")
        assert words["sand"].code == "sand"
        assert found.problems == ()
        assert len(found.jobs[0].entries) == 1

    def test_it_can_mean_a_known_one_or_be_left_out_and_that_is_said(self):
        found = read(self.TEXT, words={"sanding": "sand", "tea": LEAVE_OUT})
        assert [entry.minutes for entry in found.jobs[0].entries] == [60, 10]
        assert found.left_out == 1
        assert "1 row of “Tea” left out" in found.notes

    def test_a_decision_the_book_no_longer_knows_is_no_decision(self):
        assert {use.code for use in read(self.TEXT, words={"tea": "gone"}).words if use.written == "Tea"} == {""}

    def test_a_known_word_can_be_told_to_mean_another(self):
        found = read(self.TEXT, words={"sand": "joint"})
        (use,) = [use for use in found.words if use.written == "sand"]
        assert (use.code, use.known) == ("joint", "sand")


class TestUnits:
    def test_two_units_of_one_operation_are_brought_together_and_said(self):
        found = read("job,date,task,qty,unit,min\nA,2020-01-02,joint,10,ft,5\nB,2020-01-02,joint,3.048,m,5\n")
        assert [job.quantities[0].quantity for job in found.jobs] == pytest.approx([10, 10])
        assert any("“Joint one face” is given in ft (1 row) and m (1 row); all brought to ft" in n for n in found.notes)

    def test_a_unit_that_is_none_of_the_books_is_refused(self):
        (found,) = problems("job,date,task,qty,unit,min\nA,2020-01-02,joint,10,boards,5\n")
        assert found.startswith(
            "line 2, unit: read “boards”, expected ft, in, m, cm, mm: “Joint one face” is counted in ft"
        )

    def test_a_row_without_a_unit_beside_others_in_metres_is_refused(self):
        (found,) = problems("job,date,task,qty,unit,min\nA,2020-01-02,joint,10,m,5\nB,2020-01-02,joint,3,,5\n")
        assert found.startswith(
            "line 3, unit: read nothing, expected a unit: “Joint one face” is counted in ft and other rows are in m"
        )


class TestHabits:
    def test_empty_projects_and_days_may_be_those_above(self):
        text = "job,date,task,min\nA,2020-01-02,sand,5\n,,joint,6\nB,,sand,7\n"
        assert len(problems(text)) == 3
        found = read(text, filled_down=True)
        assert [(job.number, len(job.entries), job.last_on.day) for job in found.jobs] == [("A", 2, 2), ("B", 1, 2)]

    def test_a_quantity_that_is_repeated_counts_once(self):
        text = "job,date,task,qty,min\nA,2020-01-02,sand,50,60\nA,2020-01-03,sand,50,60\n"
        assert read(text).jobs[0].quantities[0].quantity == 100
        assert read(text, repeated=True).jobs[0].quantities == (PastQuantity(2, "sand", 50.0, 1),)

    def test_a_quantity_that_should_repeat_and_does_not_is_refused(self):
        text = "job,date,task,qty,min\nA,2020-01-02,sand,50,60\nA,2020-01-03,sand,51,60\n"
        assert problems(text, repeated=True) == ["line 3, qty: read “51”, expected 50 again, as on line 2"]

    def test_quantities_that_look_repeated_are_asked_about(self):
        text = "job,date,task,qty,min\n" + "".join(f"{job},2020-01-02,sand,50,60\n" * 2 for job in "ABC")
        assert any("carry the same quantity" in note for note in read(text).notes)

    def test_days_that_could_be_read_either_way_are_said_and_can_be_chosen(self):
        text = "job,date,task,min\nA,3/4/2020,sand,5\n"
        assert read(text).jobs[0].first_on == date(2020, 3, 4)
        assert any("nothing in the column tells" in note for note in read(text).notes)
        chosen = read(text, days=DayOrder.DAY_FIRST)
        assert chosen.jobs[0].first_on == date(2020, 4, 3)
        assert chosen.notes == ()

    def test_a_decimal_comma_is_told_by_the_column(self):
        text = "job;date;task;qty;hours\nA;2020-01-02;sand;12,5;1,5\nA;2020-01-02;joint;1.250;2\n"
        (job,) = read(text).jobs
        assert [line.quantity for line in job.quantities] == [12.5, 1250.0]
        assert [entry.minutes for entry in job.entries] == [90, 120]

    def test_a_prefix_stands_before_every_number(self):
        assert read("job,date,task,min\nA,2020-01-02,sand,5\n", prefix="old ").jobs[0].number == "old A"

    def test_choices_without_anything_decided_are_the_guess(self):
        assert Choices(()).words == {}
