"""A small shop with people at the bench and a project in build, for the tests of the floor."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from journal.desk.sending import Sending
from journal.floor.taps import Task
from journal.records.queries import devices, plans
from journal.records.words import ProjectState
from tests import factories

ZONE = ZoneInfo("America/New_York")
DAY = date(2026, 3, 2)  # a Monday
NOW = datetime(2026, 3, 2, 20, tzinfo=UTC)  # three in the afternoon there
OPERATIONS = [
    plans.OperationRow("crosscut_rough", 12.0, 1),
    plans.OperationRow("joint_face", 60.0, 1),
    plans.OperationRow("plane_thickness", 80.0, 1),
    plans.OperationRow("close_clamps", 20.0, 2),
    plans.OperationRow("apply_coat", 40.0, 2),
]


def people(session, *labels):
    """Ids of new places at the bench."""
    return [devices.add_worker(session, label).id for label in labels or ("bench 1", "bench 2")]


def in_build(session, **given):
    """The id of a project in build with a plan."""
    row = factories.project(session, **{"state": ProjectState.IN_BUILD} | given)
    factories.plan(session, row.id, operations=OPERATIONS)
    return row.id


def at(hour, minute=0, day=DAY):
    """A moment by the shop's clock."""
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=ZONE).astimezone(UTC)


_keys = iter(range(10**9))


def sent(now=NOW, key=""):
    """One sending of a form; a new key each time unless one is named."""
    return Sending(key or f"form-{next(_keys):08}", now.astimezone(ZONE).date(), ZONE, now)


def body(sequence, what, project_id, work, moment, *, person=1, by_stage=False):
    """A tap as a device sends it."""
    return {
        "sequence": sequence,
        "what": what,
        "project": project_id,
        "work": work,
        "by_stage": by_stage,
        "person": person,
        "at": moment.isoformat(),
    }


def planing(project_id):
    return Task(project_id, "plane_thickness")


A_DAY = timedelta(days=1)
