"""Whatever is given to a reader of files, it answers with what it read or with an error a user can be shown."""

from __future__ import annotations

import contextlib
import io
import json
import os
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from journal.build import part_list
from journal.build.design_file import read_design
from journal.cutting.problem_file import read_problem
from journal.desk import history, paces, photo_encoding
from journal.desk.workbook import MOST_UNPACKED, read_workbook
from journal.errors import BadInput, JournalError
from journal.pace.log_file import read_log_file, read_plan_file
from journal.places import folder
from journal.records.engine import reading
from journal.records.keeping.tally import differences
from journal.web.assets import FOLDER
from journal.web.floor.device_routes import TOKEN_HEADER
from openpyxl import Workbook
from PIL import Image
from tests.attack import mutate
from tests.attack.conftest import TODAY, engine_of
from tests.attack.test_routes import held, marked
from tests.cutting.test_problem_file import DATA as PROBLEM
from tests.desk import photo_files

EXAMPLES = int(os.environ.get("JOURNAL_FUZZ_EXAMPLES", "60"))
FUZZ = settings(
    max_examples=EXAMPLES,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow, HealthCheck.data_too_large],
)
PART_LIST = (FOLDER / "sample-part-list.csv").read_bytes()
PAST_JOBS = (FOLDER / "sample-past-jobs.csv").read_bytes()
LOG = (folder("seed_data") / "example_log.csv").read_bytes()[:3_000]
PLAN = (folder("seed_data") / "example_plan.csv").read_bytes()
DESIGN = (folder("shared") / "designs" / "knock-down-bench.toml").read_bytes()
TAPS = {
    "taps": [
        {"sequence": 1, "person": 1, "what": "start", "project": 19, "work": "cut_lap", "at": "2026-11-25T10:00:00Z"},
        {"sequence": 2, "person": 1, "what": "stop", "project": 19, "work": "cut_lap", "at": "2026-11-25T11:00:00Z"},
        {"sequence": 3, "person": 2, "what": "start", "work": "milling", "by_stage": True, "at": "2026-11-25T11:30Z"},
        {
            "sequence": 4,
            "form": "coat",
            "key": "a coat without signal",
            "at": "2026-11-25T11:40:00Z",
            "fields": [["project", "19"], ["finish", "hard_oil"], ["coat", "1"], ["amount_used", "250 ml"]],
        },
    ]
}


def workbook():
    book = Workbook()
    for row in ("project,date,operation,minutes", "a,2025-01-18,milling,95", "b,2025-01-19,finish,60"):
        book.active.append(row.split(","))
    packed = io.BytesIO()
    book.save(packed)
    return packed.getvalue()


WORKBOOK = workbook()
PICTURES = {
    "from a phone": photo_files.from_a_phone(width=48, height=32),
    "PNG": photo_files.saved(photo_files.board(48, 32).convert("RGBA"), "PNG", exif=Image.Exif()),
    "palette": photo_files.saved(photo_files.board(48, 32).convert("P"), "PNG", transparency=3),
    "WebP": photo_files.saved(photo_files.board(48, 32).convert("RGBA"), "WEBP", exif=b"Exif\0\0II*\0"),
    "lossless": photo_files.saved(photo_files.board(48, 32), "WEBP", lossless=True),
}


def shown_or_read(read):
    """What it read; None when it said why it could not."""
    with contextlib.suppress(JournalError):
        return read()
    return None


def as_text(content):
    return content.decode("utf-8", "replace")


@FUZZ
@given(mutate.files_like(PART_LIST))
def test_a_part_list(content):
    shown_or_read(lambda: part_list.read(content).taken())
    shown_or_read(lambda: part_list.read(as_text(content)).taken())


@FUZZ
@given(mutate.files_like(LOG))
def test_a_log_file(tmp_path_factory, content):
    path = tmp_path_factory.getbasetemp() / "log.csv"
    path.write_bytes(content)
    shown_or_read(lambda: read_log_file(path, paces.book(), today=TODAY))


@FUZZ
@given(mutate.files_like(PLAN))
def test_a_plan_file(tmp_path_factory, content):
    path = tmp_path_factory.getbasetemp() / "plan.csv"
    path.write_bytes(content)
    shown_or_read(lambda: read_plan_file(path, paces.book()))


@FUZZ
@given(mutate.files_like(DESIGN))
def test_a_design(content):
    shown_or_read(lambda: read_design(as_text(content)))


@FUZZ
@given(mutate.files_like(json.dumps(PROBLEM).encode()))
def test_a_cutting_problem(content):
    shown_or_read(lambda: read_problem(as_text(content)))


@FUZZ
@given(mutate.documents_like(PROBLEM))
def test_a_cutting_problem_with_other_values_in_it(document):
    shown_or_read(lambda: read_problem(json.dumps(document)))


@FUZZ
@given(mutate.files_like(PAST_JOBS))
def test_a_sheet_of_past_jobs(app, tmp_path_factory, content):
    look_at(app, tmp_path_factory.getbasetemp(), content)


@pytest.mark.filterwarnings("ignore::UserWarning:openpyxl")  # it says what it mends on its way
@FUZZ
@given(mutate.files_like(WORKBOOK))
def test_a_workbook_of_past_jobs(app, tmp_path_factory, content):
    look_at(app, tmp_path_factory.getbasetemp(), content)


@pytest.mark.filterwarnings("ignore::UserWarning:openpyxl")
@FUZZ
@given(st.sampled_from(["xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/styles.xml"]), st.data())
def test_a_workbook_whose_archive_is_whole_and_whose_sheet_is_not(app, tmp_path_factory, name, data):
    whole = mutate.unpacked(WORKBOOK, name)
    look_at(app, tmp_path_factory.getbasetemp(), mutate.repacked(WORKBOOK, name, data.draw(mutate.turned(whole))))


def look_at(app, data, content):
    token = shown_or_read(lambda: history.receive(data, content, "past.csv"))
    if token is not None:
        with reading(engine_of(app)) as session:
            shown_or_read(lambda: history.look(session, data, token, date(2026, 11, 25)))


def test_a_workbook_that_unpacks_to_more_than_it_may_is_refused_by_its_size():
    packed = mutate.bomb(MOST_UNPACKED // 1024**2 + 1)
    assert len(packed) < MOST_UNPACKED / 100
    with pytest.raises(BadInput, match="bytes unpacked"):
        read_workbook(packed, "bomb.xlsx")


@pytest.mark.filterwarnings("ignore::UserWarning:PIL")  # as above
@pytest.mark.parametrize("kind", list(PICTURES))
@FUZZ
@given(data=st.data())
def test_a_photo(kind, data):
    content = data.draw(mutate.files_like(PICTURES[kind]))
    found = shown_or_read(lambda: photo_encoding.draw(io.BytesIO(content), "a photo"))
    if found is not None:
        for kept in (found.large, found.small):
            with Image.open(io.BytesIO(kept), formats=["JPEG"]) as picture:
                assert max(picture.size) <= photo_encoding.LARGE
                assert {"exif", "comment", "icc_profile", "xmp", "photoshop"}.isdisjoint(picture.info)


@pytest.mark.parametrize("external", ["SYSTEM 'file:///etc/passwd'", "'" + "ha" * 1_000 + "'"])
def test_a_workbook_with_entities_of_its_own_gives_nothing_away(external):
    bad = f"<!DOCTYPE a [<!ENTITY x {external}>]><worksheet><sheetData><row><c t='inlineStr'><is><t>&x;</t></is></c></row>"
    content = mutate.repacked(WORKBOOK, "xl/worksheets/sheet1.xml", f"{bad}</sheetData></worksheet>".encode())
    sheet = shown_or_read(lambda: read_workbook(content, "past.xlsx"))
    assert sheet is None or "root:" not in str(sheet)


def test_entities_that_grow_are_refused():
    grown = "".join(f"<!ENTITY e{n} '{f'&e{n - 1};' * 10}'>" for n in range(1, 10))
    bad = f"<!DOCTYPE a [<!ENTITY e0 '{'ha' * 50}'>{grown}]><worksheet><sheetData><row><c t='inlineStr'><is><t>&e9;</t>"
    tail = "</is></c></row></sheetData></worksheet>"
    content = mutate.repacked(WORKBOOK, "xl/worksheets/sheet1.xml", (bad + tail).encode())
    with pytest.raises(BadInput, match="cannot be read"):
        read_workbook(content, "past.xlsx")


@pytest.fixture(scope="module")
def device(visitor):
    mark = marked(visitor, "/access/sign-in")
    sent = {"csrf_token": mark, "uid": "b" * 32, "label": "phone"}
    return {TOKEN_HEADER: visitor.post("/floor/device", data=sent).json["token"]}


@FUZZ
@given(mutate.documents_like(TAPS))
def test_taps_of_the_evening(app, visitor, device, document):
    send_taps(app, visitor, device, json.dumps(document).encode())


@FUZZ
@given(mutate.files_like(json.dumps(TAPS).encode()))
def test_taps_that_are_hardly_json(app, visitor, device, content):
    send_taps(app, visitor, device, content)


def send_taps(app, visitor, device, content):
    before = held(app)
    answer = visitor.post("/floor/taps", data=content, headers=device, content_type="application/json")
    assert answer.status_code in {200, 400, 413}, answer.text
    if answer.status_code == 200:
        assert all(one["state"] != "refused" or one["why"] for one in answer.json["answers"])
    else:
        assert differences(before, held(app)) == ()
    assert visitor.get("/today").status_code == 200


@pytest.mark.parametrize("text", ["\ud800", "a\0b", "🪚", "x" * 100_000, "\u202e"])
@pytest.mark.parametrize("field", ["work", "what", "at", "person", "sequence", "no such"])
def test_a_tap_with_a_text_no_database_takes_is_kept_aside(visitor, device, field, text):
    answer = visitor.post("/floor/taps", json={"taps": [TAPS["taps"][0] | {field: text}]}, headers=device)
    assert answer.status_code == 200
    assert visitor.get("/today").status_code == 200


@pytest.mark.parametrize("content", ["[" * 50_000, '{"a":' * 20_000, "9" * 5_000, '"\\ud800"', "NaN", ""])
def test_what_python_itself_cannot_read_is_refused_in_words(visitor, device, content):
    sent = {"data": content, "headers": device, "content_type": "application/json"}
    assert visitor.post("/floor/taps", **sent).status_code == 400
    for read in (read_problem, read_design):
        with pytest.raises(JournalError):
            read(content)
        with pytest.raises(JournalError):
            read(f"x = {content}")


def test_taps_from_far_in_the_future_are_refused_with_a_reason(visitor, device):
    later = (datetime(2026, 11, 25, 12, tzinfo=UTC) + timedelta(days=900)).isoformat()
    tap = TAPS["taps"][0] | {"sequence": 9_000_000, "at": later}
    answer = visitor.post("/floor/taps", json={"taps": [tap]}, headers=device)
    assert [one["state"] for one in answer.json["answers"]] == ["refused"]
