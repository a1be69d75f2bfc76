"""Past jobs from a spreadsheet, on the pages: sent, looked at, taken, taken back."""

import io

import pytest
from journal.desk import incoming
from journal.records.engine import reading, writing
from journal.records.queries import imports, log, projects
from journal.web import create_app
from openpyxl import Workbook
from tests import factories, journals
from tests.factories import NOW
from tests.web.project_pages import TODAY, filled, open_shop, soup, statements, text
from werkzeug.datastructures import FileStorage
from werkzeug.test import encode_multipart

SHEET = """Job,Date,Task,Qty,Unit,Hours,Note
W-1,2019-03-04,Sand,90,ft2,4,by the window
W-1,2019-03-05,Joint one face,600,ft,2,
W-2,2019-05-01,Sanding,60,,3,
"""
GOOD = SHEET.replace("Sanding", "Sand")


@pytest.fixture
def client(file_engine, tmp_path):
    return open_shop(file_engine, tmp_path)


def send(client, content=SHEET, name="old jobs.csv"):
    """The answer to a spreadsheet sent as a file."""
    body = content if isinstance(content, bytes) else content.encode()
    sent = filled(soup(client.get("/paces/past-jobs")).select_one("form"))
    sent["file"] = FileStorage(io.BytesIO(body), name)
    boundary, packed = encode_multipart(sent)  # in memory: the client leaves its own file for it open
    return client.post("/paces/past-jobs", data=packed, content_type=f"multipart/form-data; boundary={boundary}")


def look(client, content=SHEET, **given):
    """The address of a sheet that was sent, and its page."""
    answer = send(client, content, **given)
    assert answer.status_code == 302, text(soup(answer))
    return answer.location, soup(client.get(answer.location))


def post(client, address, page, do="look", **changed):
    """A look's form as a browser sends it, with some boxes changed."""
    sent = filled(page.select_one("form")) | changed | {"do": do}
    return client.post(address, data={name: value for name, value in sent.items() if value is not None})


def box_of(page, word):
    """The box of a word of the work column."""
    (label,) = [label for label in page.select(".words label") if label.text == word]
    return page.select_one(f"#{label['for']}")


def taken(engine):
    with reading(engine) as session:
        return imports.imports(session)


def test_a_sheet_is_looked_at_decided_taken_and_taken_back(client, file_engine, tmp_path):
    before = journals.held(file_engine)
    address, page = look(client)
    assert text(page.select_one(".notice")) == (
        "Nothing is taken yet: 1 word to be told the meaning of. All of it comes in, or none."
    )
    assert page.select("button[value=take]") == []
    box = box_of(page, "Sanding")
    assert "Sand" in [option.text for option in box.select("optgroup[label='Near it'] option")]
    answer = post(client, address, page, **{box["name"]: "sand"})
    assert answer.status_code == 302
    page = soup(client.get(answer.location))
    sums = {row.dt.text: text(row.dd) for row in page.select(".sums > div")}
    assert sums == {"Projects": "2", "Time entries": "3", "Hours": "9.0 h", "Rows to learn from": "3"}
    answer = post(client, address, page, do="take")
    assert answer.location.endswith("/paces/past-jobs")
    page = soup(client.get(answer.location))
    assert "Taken: 2 projects, 9.0 h." in text(page.select_one(".notices"))
    (row,) = taken(file_engine)
    assert (row.source, row.projects, row.entries) == ("old jobs.csv", 2, 3)
    with reading(file_engine) as session:
        kept = projects.find_project(session, "W-1")
        assert "by the window" in {entry.note for entry in log.entries(session, project_id=kept.id)}
    assert list((tmp_path / incoming.FOLDER).iterdir()) == []
    (undo,) = [form for form in page.select("form") if form["action"].endswith("/undo")]
    answer = client.post(undo["action"], data=filled(undo))
    assert "is taken back: 2 projects, 9.0 h" in text(soup(client.get(answer.location)).select_one(".notices"))
    assert journals.held(file_engine) == before


def test_cells_can_be_pasted(client):
    sent = filled(soup(client.get("/paces/past-jobs")).select_one("form"))
    sent["text"] = GOOD.replace(",", "\t")
    answer = client.post("/paces/past-jobs", data=sent)
    assert soup(client.get(answer.location)).select_one("h1").text == "a paste"


def test_a_workbook_is_read(client):
    book, content = Workbook(), io.BytesIO()
    for line in GOOD.splitlines():
        book.active.append(line.split(","))
    book.save(content)
    _, page = look(client, content.getvalue(), name="shop/old.xlsx")
    assert page.select_one("h1").text == "old.xlsx"
    assert page.select("button[value=take]")


def test_a_sheet_larger_than_any_other_form_is_read(client):
    rows = "".join(f"W-{n},2019-03-04,Sand,90,ft2,4,{'long note ' * 20}\n" for n in range(25_000))
    assert len(rows) > client.application.config["MAX_CONTENT_LENGTH"]
    _, page = look(client, "Job,Date,Task,Qty,Unit,Hours,Note\n" + rows)
    assert "25,000" in text(page.select_one(".sums"))


def test_one_larger_than_that_is_refused(client):
    answer = send(client, b"x" * (17 * 1024 * 1024 + 1))
    assert answer.status_code == 413


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\x00\x01\x02", "no text"),
        (b"", "nothing"),
        (b"\xd0\xcf\x11\xe0", "without a password"),
        (b"job\n", "columns"),
    ],
    ids=["binary", "empty", "locked", "one column"],
)
def test_what_is_no_table_is_refused_where_it_was_sent(client, content, said, tmp_path):
    answer = send(client, content)
    assert answer.status_code == 422
    assert said in text(soup(answer).select_one(".notice--bad"))
    assert not (tmp_path / incoming.FOLDER).exists()


def test_nothing_sent_and_both_sent_are_refused_at_the_box(client):
    sent = filled(soup(client.get("/paces/past-jobs")).select_one("form"))
    answer = client.post("/paces/past-jobs", data=sent)
    assert answer.status_code == 422
    assert "Choose a file" in text(soup(answer).select_one("#file-error"))
    both = sent | {"text": GOOD, "file": (io.BytesIO(GOOD.encode()), "old.csv")}
    answer = client.post("/paces/past-jobs", data=both, content_type="multipart/form-data")
    assert answer.status_code == 422
    assert "one or the other" in text(soup(answer).select_one("#file-error"))
    assert soup(answer).select_one("textarea").text.lstrip("\r\n") == GOOD.strip().replace("\n", "\n")


def test_every_bad_row_is_named_and_nothing_can_be_taken(client, file_engine):
    address, page = look(client, GOOD + "W-3,2099-01-01,Sand,1,ft2,1,\nW-3,2019-01-01,Sand,x,boards,1,\n")
    places = [text(place) for place in page.select(".faults-where")]
    assert places == ["Line 5, Date", "Line 6, Qty"]
    answer = post(client, address, page, do="take")
    assert answer.status_code == 422
    assert "2 places to mend" in text(soup(answer).select_one(".notice"))
    assert taken(file_engine) == ()


def test_columns_nobody_knows_are_told_by_boxes(client):
    content = GOOD.replace("Job,Date,Task,Qty,Unit,Hours", "Nr,When,What was it,Pcs,,Took")
    address, page = look(client, content)
    assert "The columns cannot be read yet" in text(page.select_one(".notice"))
    assert "No column says which project a row belongs to." in text(page)
    roles = dict(zip(("role-0", "role-2", "role-3", "role-5"), ("project", "work", "quantity", "hours"), strict=True))
    answer = post(client, address, page, **roles, **{"role-1": "date", "role-4": "unit"})
    assert soup(client.get(answer.location)).select("button[value=take]")


def test_rows_can_be_left_out_and_that_is_said(client):
    address, page = look(client)
    box = box_of(page, "Sanding")
    answer = post(client, address, page, **{box["name"]: "-"})
    page = soup(client.get(answer.location))
    assert "1 row of “Sanding” left out." in text(page.select_one("#understood"))
    assert page.select_one(".sums dd").text.strip() == "1"


def test_taking_what_was_changed_meanwhile_only_shows_it_anew(client, file_engine):
    address, page = look(client, GOOD)
    answer = post(client, address, page, do="take", prefix="old ")
    assert answer.location.endswith(address)
    shown = soup(client.get(address))
    assert "It is read another way now" in text(shown.select_one(".notices"))
    assert taken(file_engine) == ()
    post(client, address, shown, do="take")
    assert taken(file_engine)[0].projects == 2


def test_another_tabs_choices_are_not_taken_unseen(client, file_engine):
    address, mine = look(client, GOOD)
    post(client, address, mine, prefix="old ")
    answer = post(client, address, mine, do="take")
    assert answer.status_code == 302
    assert taken(file_engine) == ()


def test_sending_a_page_back_unchanged_changes_nothing(client, tmp_path):
    address, page = look(client)
    token = address.rsplit("/", 1)[1]
    before = incoming.get(tmp_path, token)
    post(client, address, page)
    assert incoming.get(tmp_path, token) == before


def test_a_choice_that_was_not_offered_is_refused(client):
    address, page = look(client, GOOD)
    assert post(client, address, page, **{"role-0": "colour"}).status_code == 422
    assert post(client, address, page, days="backwards").status_code == 422
    assert post(client, address, page, prefix="x" * 30).status_code == 422


def test_a_sheet_put_away_is_gone(client):
    address, page = look(client, GOOD)
    post(client, address, page, do="drop")
    for answer in (client.get(address), post(client, address, page, do="take")):
        assert answer.location.endswith("/paces/past-jobs")
    assert "waits no longer" in text(soup(client.get("/paces/past-jobs")).select_one(".notices"))


def test_taken_twice_from_two_tabs_it_comes_in_once(client, file_engine):
    address, page = look(client, GOOD)
    post(client, address, page, do="take")
    post(client, address, page, do="take")
    assert len(taken(file_engine)) == 1


@pytest.mark.parametrize("token", ["..", "a" * 32, "%2e%2e%2fjournal", "nothing"])
def test_a_name_that_was_never_given_leads_back(client, token):
    assert client.get(f"/paces/past-jobs/{token}").status_code in {302, 404}


def test_after_an_edit_it_stays_and_the_page_says_what_was_edited(client, file_engine):
    address, page = look(client, GOOD)
    post(client, address, page, do="take")
    with writing(file_engine) as session:
        row = projects.find_project(session, "W-2")
        entry = log.entries(session, project_id=row.id)[0]
        log.change_entry(session, entry.id, {"set_aside_reason": "flu"}, why="flu", now=NOW)
        factories.entry(session, project_id=row.id)
    page = soup(client.get("/paces/past-jobs"))
    (undo,) = [form for form in page.select("form") if form["action"].endswith("/undo")]
    answer = client.post(undo["action"], data=filled(undo))
    assert answer.status_code == 409
    said = [text(item) for item in soup(answer).select(".notice--bad li")]
    assert said == ["W-2 : 1 entry was added", "W-2 : 1 entry was corrected, set aside or removed"]
    assert len(taken(file_engine)) == 1


def test_taking_back_what_is_not_there_is_not_found(client):
    sent = filled(soup(client.get("/paces/past-jobs")).select_one("form"))
    assert client.post("/paces/past-jobs/7/undo", data=sent).status_code == 404


def test_forms_of_other_pages_are_refused(client, file_engine):
    address, _ = look(client, GOOD)
    for path, data in (
        ("/paces/past-jobs", {"text": GOOD}),
        (address, {"do": "take"}),
        ("/paces/past-jobs/1/undo", {}),
    ):
        assert client.post(path, data=data).status_code == 400
    assert taken(file_engine) == ()


def test_markup_in_a_sheet_stays_text(client):
    evil = "<script>alert(1)</script>"
    _, page = look(
        client, f'Job,Date,Task,Hours,"{evil}"\n"{evil}",2019-01-02,"{evil}",1,"{evil}"\n', name=f"{evil}.csv"
    )
    assert all("alert" not in (script.string or "") for script in page.select("script"))
    assert evil in page.select_one(".words label").text


def test_more_imports_take_no_more_statements(client, file_engine):
    def asked():
        return statements(file_engine, lambda: client.get("/paces/past-jobs"))

    post(client, *look(client, GOOD), do="take")
    few = asked()
    for n in range(4):
        post(client, *look(client, GOOD.replace("W-", f"V{n}-")), do="take")
    assert asked() == few
    assert len(taken(file_engine)) == 5


def test_a_longer_sheet_takes_no_more_statements(client, file_engine):
    short, _ = look(client, GOOD)
    long, _ = look(client, GOOD + "".join(f"L-{n},2019-03-04,Sand,90,ft2,4,\n" for n in range(300)))
    assert statements(file_engine, lambda: client.get(short)) == statements(file_engine, lambda: client.get(long))


def test_without_a_data_folder_it_says_so(file_engine):
    client = create_app(engine=file_engine, testing=True, today=TODAY).test_client()
    answer = send(client, GOOD)
    assert answer.status_code == 400
    assert "without a data folder" in text(soup(answer))


def test_the_sample_sheet_can_be_sent_as_it_is(client):
    with client.get("/static/sample-past-jobs.csv") as answer:
        content = answer.data
    _, page = look(client, content, name="sample-past-jobs.csv")
    assert page.select("button[value=take]")
    assert page.select(".faults") == []


def test_the_paces_lead_to_it(client):
    assert [link for link in soup(client.get("/paces")).select("a") if link["href"] == "/paces/past-jobs"]


UNKNOWN = SHEET.replace("Sanding,60,", "Chip carving,8,rosette")


def typed(page, **given):
    """The boxes that add the one unknown word as an operation of the shop's own."""
    (button,) = page.select("button[value^=add-]")
    return button["value"], {f"{button['value']}-{box}": text for box, text in given.items()}


def test_an_operation_unknown_to_the_book_is_added_with_the_sheet_and_leaves_with_it(client, file_engine):
    before = journals.held(file_engine)
    address, page = look(client, UNKNOWN)
    assert page.select_one(".words-add input[name$=-name]")["value"] == "Chip carving"
    do, boxes = typed(page, stage="finishing", driver="rosettes", unit="rosette", pace="some")
    answer = post(client, address, page, do=do, **boxes)
    assert answer.status_code == 422
    page = soup(answer)
    assert "a number such as 4.5" in text(page.select_one(".words-add[open] .notice--bad"))
    assert page.select_one(".words-add input[name$=-unit]")["value"] == "rosette"
    do, boxes = typed(page, pace="25")
    answer = post(client, address, page, do=do, **boxes)
    assert answer.status_code == 302
    page = soup(client.get(answer.location))
    assert "Chip carving (rosette)" in [option.text for option in page.select(".words option[selected]")]
    answer = post(client, address, page, do="take")
    assert "Chip carving" in [a.text for a in soup(client.get("/paces/own")).select("tbody a")]
    assert client.get("/paces/own_chip_carving").status_code == 200
    (undo,) = [form for form in soup(client.get(answer.location)).select("form") if form["action"].endswith("/undo")]
    client.post(undo["action"], data=filled(undo))
    assert client.get("/paces/own_chip_carving").status_code == 404
    assert journals.held(file_engine) == before


def test_an_operation_of_ones_own_can_be_added_logged_and_no_longer_let_go(client, file_engine):
    with writing(file_engine) as session:
        project = factories.project(session)
    page = soup(client.get("/paces/own"))
    wanted = {"name": "Gild", "stage": "finishing", "driver": "edges gilded", "unit": "m", "pace": "30", "setup": ""}
    sent = filled(page.select_one("main form")) | wanted
    assert client.post("/paces/own", data=sent | {"name": "sand"}).status_code == 422
    assert client.post("/paces/own", data=sent).status_code == 302
    page = soup(client.get("/paces/own"))
    assert "9.1 min a ft" in text(page.select_one("tbody tr"))  # 30 min a metre × 0.3048 m a foot
    address = f"/projects/{project.id}/log"
    entry = filled(soup(client.get(address)).select_one(f"form[action='{address}']"))
    answer = client.post(address, data=entry | {"work": "o:own_gild", "hours": "2"})
    assert answer.status_code == 303
    assert "Gild" in text(soup(client.get(address)).select_one(".log-line"))
    removed = filled(page.select_one("form[action$='/remove']"))
    answer = client.post("/paces/own/own_gild/remove", data=removed)
    assert "it stays" in text(soup(client.get(answer.location)).select_one(".notices"))
