"""What the tests of the project pages share: a shop to start from, forms filled in as a browser would."""

from __future__ import annotations

from datetime import UTC, date, datetime

from bs4 import BeautifulSoup, Tag
from journal.desk import parts, projects
from journal.desk.starting_stock import set_up
from journal.records.engine import reading, writing
from sqlalchemy import event
from tests.web.shared_app import client_of

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
LIST = """label,qty,thickness,width,length,stock,strips,faces,features
Top,1,3 1/4,22,72,2x8 fir,auto along width,all,12 holes
Leg,4,3 1/2,5,31,2x6 fir,3 along thickness,all,2 laminated joints
"""


def open_shop(engine, tmp_path):
    """The pages of a shop with the starting prices, as a client of them."""
    set_up(engine, TODAY)
    return client_of(engine, today=TODAY, data=tmp_path)


def project(engine, listed=LIST, **asked):
    """The id of a project, with parts unless there are none to be."""
    with writing(engine) as session:
        row = projects.begin(session, projects.Asked(**{"title": "Bench for a print room"} | asked), now=NOW)
        if listed:
            parts.take_list(session, row.id, listed, source="a paste", now=NOW)
        return row.id


def parts_of(engine, project_id):
    with reading(engine) as session:
        return parts.current(session, project_id)


def history(engine, project_id):
    with reading(engine) as session:
        return parts.page(session, project_id).history


def soup(response):
    return BeautifulSoup(response.get_data(as_text=True), "html.parser")


def text(tag):
    """What a reader sees, spaces put in order; without the help behind a “?” inside it."""
    helps = {id(one) for one in tag.select(".help, .help-text")} if isinstance(tag, Tag) else set()
    seen = (string for string in tag.strings if not any(id(above) in helps for above in string.parents))
    return " ".join(" ".join(seen).split())


def filled(form):
    """What a browser would send of a form."""
    sent = {}
    for box in form.select("input[name], textarea[name], select[name]"):
        kind = box.get("type")
        if (
            box.find_parent("template")
            or kind == "file"
            or (kind in ("checkbox", "radio") and not box.has_attr("checked"))
        ):
            continue
        if box.name == "select":
            chosen = box.select_one("option[selected]") or box.select_one("option")
            sent[box["name"]] = chosen["value"]
        elif box["name"] == "row":
            sent.setdefault("row", []).append(box["value"])
        else:
            sent[box["name"]] = box.text.lstrip("\r\n") if box.name == "textarea" else box.get("value", "")
    return sent


def form_at(client, path, action_ends_with):
    """A form of a page, filled in as it comes."""
    page = soup(client.get(path))
    (form,) = [form for form in page.select("form") if form["action"].split("#")[0].endswith(action_ends_with)]
    return filled(form)


def statements(engine, act):
    """How many statements a request takes."""
    seen = []

    def note(_connection, _cursor, statement, *_more):
        seen.append(statement)

    event.listen(engine, "before_cursor_execute", note)
    try:
        act()
    finally:
        event.remove(engine, "before_cursor_execute", note)
    return len(seen)
