import pytest
from journal.errors import BadInput
from journal.records.engine import reading, writing
from journal.records.queries import floor
from tests import factories


def _coat(project_id, **given):
    fields = {"project_id": project_id, "finish": "hard_oil", "coat": 1, "area_mm2": 3_000_000, "amount_ml": 210.5}
    return floor.CoatRow(**fields | {"on_date": factories.TODAY} | given)


def _glue_up(project_id, **given):
    fields = {"project_id": project_id, "on_date": factories.TODAY, "label": "left slab", "strips": 9}
    return floor.GlueUpRow(**fields | {"area_mm2": 1_900_000} | given)


def test_coats_and_glue_ups_come_back_as_they_were_kept(engine):
    with writing(engine) as session:
        project, other = factories.project(session), factories.project(session)
        coat = floor.add_coat(session, _coat(project.id, humidity_pct=45.0))
        glue_up = floor.add_glue_up(session, _glue_up(project.id, glue_ml=330.0, spread_seconds=420))
        floor.add_coat(session, _coat(other.id))
        floor.add_glue_up(session, _glue_up(other.id))
    with reading(engine) as session:
        assert floor.coats(session, project_id=project.id) == (coat,)
        assert floor.glue_ups(session, project_id=project.id) == (glue_up,)
        assert (len(floor.coats(session)), len(floor.glue_ups(session))) == (2, 2)


@pytest.mark.parametrize("given", [{"coat": 0}, {"area_mm2": 0}, {"amount_ml": 0.0}, {"humidity_pct": -1.0}])
def test_a_coat_that_makes_no_sense_is_refused(given):
    with pytest.raises(BadInput):
        _coat(1, **given)


@pytest.mark.parametrize("given", [{"strips": 1}, {"area_mm2": 0}, {"glue_ml": 0.0}])
def test_a_glue_up_that_makes_no_sense_is_refused(given):
    with pytest.raises(BadInput):
        _glue_up(1, **given)
