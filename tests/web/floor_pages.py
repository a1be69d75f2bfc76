"""The floor's pages as a client of them: a shop with two people and a project in build, at noon of a fixed day."""

from journal.records.engine import writing
from tests import factories
from tests.desk import floor_shop
from tests.web.project_pages import TODAY
from tests.web.shared_app import client_of


def open_floor(engine, tmp_path, *, people=2, titles=("Bench for a school",)):
    """(client, ids of the projects in build, ids of the people)."""
    with writing(engine) as session:
        projects = [floor_shop.in_build(session, title=title) for title in titles]
        who = floor_shop.people(session, *(f"bench {number + 1}" for number in range(people))) if people else []
    client = client_of(engine, today=TODAY, data=tmp_path)
    return client, projects, who


def entry(engine, project, **given):
    """The id of a stored entry of the project."""
    with writing(engine) as session:
        return factories.entry(session, project_id=project, **given).id
