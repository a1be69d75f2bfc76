"""Makes a finished bench of a size, as the shop's own past."""

from datetime import UTC, date, datetime

from journal.desk import parts, projects
from journal.records.engine import writing
from journal.records.queries import log
from journal.records.queries import projects as project_records
from journal.records.words import ProjectState

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
LIST = """label,qty,thickness,width,length,stock,strips
Half tops,2,3,{half},{length},{stock},auto along width
Leg,4,1 1/4,5,30,{stock},1
"""


def built(engine, *, length="72", half="12", stock="2x8 spruce", hours=50, price=400_000, design=None, benches=1):
    """A delivered project of this size."""
    with writing(engine) as session:
        begun = projects.begin(session, projects.Asked(title="Bench", benches=benches), now=NOW)
        listed = LIST.format(half=half, length=length, stock=stock)
        parts.take_list(session, begun.id, listed, source="a paste", now=NOW)
        row = project_records.get_project(session, begun.id)
        changes = {
            "state": ProjectState.DELIVERED,
            "delivered_on": TODAY,
            "agreed_price_cents": price,
            "design_word": design,
        }
        project_records.change_project(session, begun.id, row.draft(**changes), read_version=row.version, now=NOW)
        draft = log.EntryDraft(project_id=begun.id, on_date=TODAY, seconds=hours * 3600, stage="milling")
        log.add_entry(session, draft, now=NOW)
    return row.code
