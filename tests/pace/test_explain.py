"""What moved a prediction, in one sentence."""

from datetime import date, timedelta

import pytest
from journal.errors import MissingReference
from journal.pace.explain import explain, explain_all, signed
from journal.pace.model import BookPace, Row, fit

TODAY = date(2026, 6, 30)
BOOK = {
    "bore": BookPace("bore", "boring", 6.0, 4.5, "Bore", "hole"),
    "sand": BookPace("sand", "finishing", 5.0, 1.6, "Sand", "ft2·grit"),
    "jig": BookPace("jig", "boring", 60.0, 0.0, "Make a jig", "jig"),
}


def row(project, code, ratio, weeks, **given):
    return Row(project, TODAY - timedelta(weeks=weeks), BOOK[code].stage, ((code, 1.0),), 90.0, 90.0 * ratio, **given)


def test_says_book_shop_logs_and_this_project():
    rows = [row(f"P{n}", code, 1.2, 5 + n) for n in range(7) for code in ("bore", "sand")]
    rows += [row("now", "sand", 0.6, 6)]
    found = fit(rows, BOOK, today=TODAY, keep=("now",))
    said = explain(found, "bore", project="now")
    book, shop, logs, so_far = said.split("; ")
    assert book == "book 4.5 min a hole"
    assert shop.startswith("this shop +")
    assert logs == "7 logs, newest 5 weeks"
    assert so_far.startswith("this project so far −")


def test_a_stage_log_and_an_old_one_are_told_as_such():
    shares = (("bore", 0.5), ("jig", 0.5))
    staged = Row("A", TODAY - timedelta(weeks=60), "boring", shares, 120.0, 130.0, logs=2, by_stage=True)
    found = fit([staged], BOOK, today=TODAY)
    assert explain(found, "bore").endswith("2 within its stage, newest 14 months")
    assert explain(found, "jig").startswith("book 60 min a set-up; ")
    assert explain(found, "sand").endswith("no log yet")


def test_all_at_once_is_the_same_as_one_by_one():
    found = fit([row("A", "bore", 1.1, 0)], BOOK, today=TODAY, keep=("A",))
    assert explain_all(found, project="A") == {code: explain(found, code, project="A") for code in BOOK}
    assert "newest this week" in explain_all(found)["bore"]


def test_a_project_that_was_not_kept_and_an_unknown_operation_are_named():
    found = fit([row("A", "bore", 1.1, 0)], BOOK, today=TODAY)
    for ask in (lambda: explain(found, "bore", project="A"), lambda: explain_all(found, project="A")):
        with pytest.raises(MissingReference, match="A"):
            ask()
    with pytest.raises(MissingReference, match="juggling"):
        explain(found, "juggling")


@pytest.mark.parametrize(("share", "text"), [(0.124, "+12%"), (-0.06, "−6%"), (0.001, "±0%"), (-0.004, "±0%")])
def test_signed_shares(share, text):
    assert signed(share) == text
