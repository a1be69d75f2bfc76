"""A small journal with finished projects, made record by record; and the demo shop, loaded once."""

from datetime import UTC, date, datetime, timedelta

from journal.records.queries import log, plans, projects
from journal.records.words import ProjectState
from tests import factories

FIRST = date(2024, 1, 8)
TODAY = date(2026, 3, 2)
OPERATIONS = (("joint_face", 300.0, 1), ("sand", 60.0, 1), ("rework", 10.0, 0))


def at_noon(day):
    """That noon."""
    return datetime(day.year, day.month, day.day, 12, tzinfo=UTC)


def finished(session, place, *, minutes=None, state=ProjectState.CLOSED, agreed=True, **given):
    """A project agreed on a plan of two operations and delivered sixty days later, with its hours."""
    on = FIRST + timedelta(days=90 * place)
    fields = {
        "code": f"{on.year}-{place + 1:02d}",
        "state": state,
        "agreed_on": on if agreed else None,
        "started_on": on,
        "delivered_on": on + timedelta(days=60) if state is ProjectState.CLOSED else None,
        "design_word": "slab bench",
    }
    made = factories.project(session, **fields | given)
    factories.plan(session, made.id, operations=[plans.OperationRow(*one) for one in OPERATIONS], now=at_noon(on))
    for turn, (code, spent) in enumerate((minutes or {"joint_face": 45, "sand": 150}).items()):
        factories.entry(
            session, project_id=made.id, on_date=on + timedelta(days=20 + turn), operation=code, seconds=60 * spent
        )
    return made


def change(session, project_id, code, quantity, *, on):
    """A later version of the plan, with another quantity of one operation."""
    lines = [plans.OperationRow(name, quantity if name == code else much, n) for name, much, n in OPERATIONS]
    factories.plan(session, project_id, operations=lines, now=at_noon(on), reason="changed")


def log_minutes(session, project_id, code, minutes, *, on, **given):
    """Another entry."""
    what = given if "stage" in given else {"operation": code, **given}
    return log.add_entry(
        session,
        log.EntryDraft(project_id=project_id, on_date=on, seconds=round(60 * minutes), **what),
        now=factories.NOW,
    )


def found(session, code):
    """A project by its number."""
    return projects.find_project(session, code)
