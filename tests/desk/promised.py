"""What the tests of quotes share: a shop with a project that has an estimate, a press that prints plain text."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, date, datetime

from journal.desk import designs, parts, projects, quoting
from journal.desk.promises import Told, life_of, move
from journal.desk.quote_content import Drawing
from journal.desk.starting_stock import set_up
from journal.records.engine import writing
from journal.records.words import ProjectState

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
LIST = """label,qty,thickness,width,length,stock,strips,faces,features
Top,1,3 1/4,22,72,2x8 fir,auto along width,all,12 holes
Leg,4,3 1/2,5,31,2x6 fir,3 along thickness,all,2 laminated joints
"""


class PlainPress:
    """Prints the content itself, so that a test sees what went to paper."""

    def draw(self, views, title, shop):
        return Drawing(f"<svg>{len(views)} views of {title} in {shop.system}</svg>", "a bench")

    def print(self, content, *, draft):
        return json.dumps([draft, content], sort_keys=True).encode()


PRESS = PlainPress()


def print_extra(content):
    """An extra's paper as its content."""
    return json.dumps(content, sort_keys=True).encode()


def project(engine, listed=LIST, **asked):
    """The id of a project with parts."""
    set_up(engine, TODAY)
    with writing(engine) as session:
        row = projects.begin(session, projects.Asked(**{"title": "Bench for a print room"} | asked), now=NOW)
        if listed:
            parts.take_list(session, row.id, listed, source="a paste", now=NOW)
        return row.id


def designed(engine, given=None):
    """The id of a project made from a design."""
    set_up(engine, TODAY)
    with writing(engine) as session:
        row, _ = designs.begin(session, "slab-bench", given or {}, projects.Asked("Slab bench"), now=NOW)
        return row.id


def issue(session, project_id, today=TODAY, now=NOW, **changes):
    """A quote issued as it is filled in, but for what is changed."""
    draft = quoting.begin(session, project_id, today)
    asked = replace(draft.asked, **changes)
    return quoting.issue(session, project_id, asked, PRESS, seen=draft.seen, today=today, now=now)


def go(session, project_id, end, **told):
    """A move from the state the project is in."""
    version = life_of(session, project_id).project.version
    said = Told(**{"on": TODAY} | told)
    return move(session, project_id, ProjectState(end), said, read_version=version, today=TODAY, now=NOW)


def accept(session, project_id, **told):
    """The newest quote accepted."""
    quote = life_of(session, project_id).open
    return go(session, project_id, "accepted", quote_id=quote.id, **told)
