"""Decimals and weeks on the pages, as the shop writes them."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from journal.desk import parts, settings
from journal.desk.shop import how_shown
from journal.desk.welcome import keep, starting
from journal.errors import BadInput
from journal.records.engine import reading, writing
from journal.records.queries import shop as shop_records
from journal.records.queries.projects import list_projects
from journal.records.words import LengthSystem, ProjectState
from journal.units import Mark, System, WeekStart
from journal.web import forms
from journal.web.projects import part_cells
from journal.web.state import display, show_as
from tests.web import project_pages as pages
from tests.web.shared_app import client_of
from werkzeug.datastructures import MultiDict

TODAY = date(2026, 11, 25)
# Decimals after a point: what a shop that writes commas must not be shown.
OTHER_MARKS = re.compile(r"(?<![\w.])\d+\.\d+(?!\.?\d)")
A_LAW = "29 CFR"  # its paragraphs are numbered with points


@pytest.fixture(scope="module")
def metric(demo_engine):
    """The demo shop in millimetres and commas."""
    with writing(demo_engine) as session:
        row = shop_records.get_shop(session)
        there = replace(row, decimal_mark=Mark.COMMA, system=LengthSystem.METRIC, week_start=WeekStart.SUNDAY)
        settings.save_shop(session, there)
        listed = [one.project for one in list_projects(session)]
    ids = {
        state: next(one.id for one in listed if one.state is state)
        for state in ProjectState
        if state in {p.state for p in listed}
    }
    return client_of(demo_engine, today=TODAY), ids


@pytest.mark.parametrize(
    "path",
    [
        "/evening",
        "/evening/week",
        "/projects/{enquiry}/price",
        "/projects/{enquiry}/parts",
        "/projects/{enquiry}/plan",
        "/projects/{enquiry}/buy",
        "/projects/{enquiry}/days",
        "/projects/{in_build}/progress",
        "/projects/{in_build}/glue",
        "/projects/{delivered}/review",
        "/designs/slab-bench",
        "/prices",
        "/across/",
        "/shop/allowances",
    ],
)
def test_no_page_writes_the_other_mark(metric, path):
    client, ids = metric
    answer = client.get(path.format(**{state.value: number for state, number in ids.items()}), follow_redirects=True)
    assert answer.status_code == 200
    page = pages.soup(answer)
    shown = [piece for piece in page.find_all(string=True) if piece.parent.name not in {"script", "style", "textarea"}]
    shown += [box["value"] for box in page.select("input:not([type]), input[type=text]") if box.get("value")]
    assert [piece for piece in shown if OTHER_MARKS.search(piece) and A_LAW not in piece] == []


def test_figures_are_really_there_with_a_comma(metric):
    client, ids = metric
    assert re.search(r"\d,\d mm", client.get(f"/projects/{ids[ProjectState.ENQUIRY]}/parts").text)
    assert re.search(r"\d\u00a0\d{3},\d\d", client.get(f"/projects/{ids[ProjectState.ENQUIRY]}/price").text)


def test_what_is_taken_along_keeps_its_point(metric):
    client, ids = metric
    taken = client.get(f"/projects/{ids[ProjectState.ENQUIRY]}/parts.csv")
    sizes = [row["thickness (mm)"] for row in csv.DictReader(io.StringIO(taken.text))]
    assert any("." in size for size in sizes)
    assert not any("," in size for size in sizes)


def test_a_form_sent_again_unchanged_changes_nothing(metric, demo_engine):
    client, _ids = metric
    with reading(demo_engine) as session:
        before = shop_records.get_shop(session)
    sent = pages.filled(pages.soup(client.get("/shop")).select_one("main form.form"))
    assert client.post("/shop", data=sent).status_code == 302
    with reading(demo_engine) as session:
        after = shop_records.get_shop(session)
    assert replace(after, version=before.version) == before


def test_the_week_begins_on_the_shops_day(metric):
    client, _ids = metric
    heads = [pages.text(head) for head in pages.soup(client.get("/evening/week")).select("thead th")][1:8]
    assert heads == ["Sun 22", "Mon 23", "Tue 24", "Wed 25", "Thu 26", "Fri 27", "Sat 28"]
    labels = [pages.text(label) for label in pages.soup(client.get("/shop/hours")).select("label[for^=day]")]
    assert labels[0].startswith("Sunday")
    assert labels[6].startswith("Saturday")


def test_the_boxes_of_a_part_list_sent_again_unchanged_are_the_same_parts(metric, demo_engine):
    client, ids = metric
    with reading(demo_engine) as session:
        listed = parts.current(session, ids[ProjectState.ENQUIRY])
    with client.application.test_request_context():
        show_as(replace(display(), system=System.METRIC, mark=Mark.COMMA))
        rows = part_cells.rows_of(listed, System.METRIC)
        assert any("," in cell.value for row in rows for cell in row.cells if cell.key in part_cells.SIZES)
        assert part_cells.read_rows(rows, System.METRIC).parts == tuple(listed)


def read(field_class, text, mark, **kwargs):
    """What a form reads of a text in a shop with this mark: a value, or what is asked."""
    form_class = type("OneBox", (forms.JournalForm,), {"box": field_class("Box", **kwargs)})
    show_as(replace(display(), mark=mark))
    form = form_class(formdata=MultiDict({"box": text}), meta={"csrf": False})
    form.validate()
    return form.box.data if form.box.data is not None else form.box.errors[0]


@pytest.mark.parametrize(
    ("field_class", "typed", "mark", "expected"),
    [
        (forms.NumberField, "12,5", Mark.COMMA, Decimal("12.5")),
        (forms.NumberField, "12.5", Mark.COMMA, Decimal("12.5")),
        (forms.NumberField, "12,5", Mark.POINT, Decimal("12.5")),
        (forms.NumberField, "1,234", Mark.POINT, Decimal(1234)),
        (forms.NumberField, "1,234", Mark.COMMA, Decimal("1.234")),
        (forms.NumberField, "1.234,5", Mark.COMMA, Decimal("1234.5")),
        (forms.NumberField, "1 234,5", Mark.COMMA, Decimal("1234.5")),
        (forms.NumberField, "-12,5", Mark.COMMA, Decimal("-12.5")),
        (forms.NumberField, "1.234", Mark.COMMA, "Read “1.234”, expected either 1234 (thousands) or 1,234 (decimal)."),
        (forms.PercentField, "8,25 %", Mark.COMMA, Fraction("0.0825")),
        (forms.MoneyField, "1.234,50", Mark.COMMA, 123_450),
        (forms.CountField, "1 234", Mark.COMMA, 1234),
    ],
)
def test_a_box_reads_either_mark_and_asks_where_it_must(metric, field_class, typed, mark, expected):
    client, _ids = metric
    with client.application.test_request_context():
        assert read(field_class, typed, mark) == expected


@pytest.mark.parametrize("text", ["1,2,3", "1 2", "", "1.2.3", "12,34,5", "abc", "1,"])
@pytest.mark.parametrize("mark", list(Mark))
def test_what_is_no_number_is_refused_in_either(metric, text, mark):
    client, _ids = metric
    with client.application.test_request_context():
        show_as(replace(display(), mark=mark))
        with pytest.raises(BadInput):
            forms.read_number(text, "box", "a number")


@pytest.mark.parametrize(
    ("system", "money", "mark", "start"),
    [
        (System.INCH, "USD", Mark.POINT, WeekStart.SUNDAY),
        (System.METRIC, "EUR", Mark.COMMA, WeekStart.MONDAY),
        (System.METRIC, "GBP", Mark.POINT, WeekStart.MONDAY),
    ],
)
def test_a_new_shop_writes_as_its_units_and_money_suggest(file_engine, system, money, mark, start):
    first = starting()
    with writing(file_engine) as session:
        keep(session, replace(first, system=system, currency=money, machines=()))
        shown = how_shown(session)
    assert (shown.decimal_mark, shown.week_start) == (mark, start)


@pytest.mark.usefixtures("metric")
def test_a_number_written_into_a_page_follows_the_shop_it_is_shown_to(file_engine, demo_engine):
    app = client_of(file_engine, today=TODAY).application
    template = app.jinja_env.from_string("{{ 1.5 | number }} {{ 'and 2.5' | told }}")

    def shown(engine):
        client_of(engine, today=TODAY)  # the one application now shows this shop
        with app.test_request_context("/"):
            app.preprocess_request()
            return template.render()

    assert [shown(file_engine), shown(demo_engine)] == ["1.5 and 2.5", "1,5 and 2,5"]
