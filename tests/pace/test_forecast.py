from __future__ import annotations

import json

import numpy as np
import pytest
from journal.errors import BadRows
from journal.pace.evidence import LogLine, PlanLine, gather
from journal.pace.forecast import plan_tasks, predict, summary
from journal.pace.model import fit
from tests.pace.shops import TODAY, make_book

BOOK = make_book()
LOG = [
    LogLine("P1", TODAY, "op_0", 100, minutes=50.0),
    LogLine("P2", TODAY, "op_0", 100, minutes=60.0),
    LogLine("P2", TODAY, "op_0", 20, minutes=20.0),
    LogLine("P2", TODAY, "op_1", 50),
    LogLine("P2", TODAY, "glue_up", None, minutes=45.0),
]
PLAN = [PlanLine("op_0", 120), PlanLine("op_1", 60, 2), PlanLine("op_0", 30)]


def learn(log=LOG):
    return fit(gather(log, BOOK).rows, BOOK, today=TODAY)


def test_plan_lines_of_one_operation_add_up():
    first, second = plan_tasks(PLAN, BOOK)
    assert first.baseline_minutes == pytest.approx(2 * 4 + 150 * 0.4)
    assert second.baseline_minutes == pytest.approx(2 * 5 + 60 * 0.7)


def test_a_forecast_adds_up_and_is_ordered():
    forecast = predict(learn(), PLAN)
    percentiles = list(forecast.total_minutes.values())
    assert percentiles == sorted(percentiles)
    assert list(forecast.total_minutes) == [5, 10, 25, 50, 75, 80, 90, 95]
    assert forecast.book_minutes == pytest.approx(68 + 52)
    assert forecast.mean_minutes == pytest.approx(forecast.draws.mean())
    assert [task.code for task in forecast.tasks] == ["op_0", "op_1"]
    assert all(task.p10 < task.p50 < task.p90 for task in forecast.tasks)


def test_a_forecast_is_the_same_for_the_same_seed_and_near_for_another():
    found = learn()
    assert predict(found, PLAN).total_minutes == predict(found, PLAN).total_minutes
    assert predict(found, PLAN, seed=1).total_minutes[50] == pytest.approx(
        predict(found, PLAN).total_minutes[50], rel=0.03
    )


def test_the_summary_has_the_promised_shape_and_survives_json():
    found = learn()
    out = summary(found, predict(found, PLAN))
    assert json.loads(json.dumps(out)) == out
    assert out["version"] == 1
    assert [entry["code"] for entry in out["operations"]] == list(BOOK)
    assert set(out["spread"]) == {"drift", "stage", "operation", "project", "entry"}
    assert list(out["total_minutes"]) == ["p05", "p10", "p25", "p50", "p75", "p80", "p90", "p95"]
    for entry in out["operations"]:
        assert set(entry["minutes_per_unit"]) == {"p10", "p50", "p90"}
        assert np.isfinite(list(entry["minutes_per_unit"].values())).all()
    assert "total_minutes" not in summary(found)


def test_logs_count_lines_with_minutes_of_their_own():
    counted = {entry["code"]: entry for entry in summary(learn())["operations"]}
    assert [counted[code]["logs"] for code in ("op_0", "op_1", "op_2")] == [3, 0, 0]
    assert counted["op_1"]["stage_logs"] == 1
    assert counted["op_1"]["newest"] == TODAY.isoformat()
    assert counted["op_2"]["newest"] is None


def test_a_plan_that_cannot_be_used_is_refused_line_by_line():
    with pytest.raises(BadRows) as caught:
        plan_tasks([PlanLine("milling", 1), PlanLine("op_99", 1), PlanLine("op_1", 0), PlanLine("op_1", 1, -1)], BOOK)
    assert [problem.line for problem in caught.value.problems] == [1, 2, 3, 4]
    with pytest.raises(BadRows, match="no line"):
        plan_tasks([], BOOK)
