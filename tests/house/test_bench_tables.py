"""What `make bench` tells of its timings, on made-up runs."""

import json
import os
from xml.etree import ElementTree as ET

import pytest
from bench import compare, growth, report, years_table

PAGES = {"/today": {1: 10, 10: 12, 20: 13}, "/paces": {1: 20, 10: 200, 20: 400}, "/words": {1: 3, 10: 3, 20: 3}}


def timing(name, median_ms, **extra):
    extra = {"p95_ms": 1.5 * median_ms} | extra
    stats = {"median": median_ms / 1e3, "max": median_ms / 500, "rounds": 5}
    return {"name": name, "fullname": f"bench/{name}", "stats": stats, "extra_info": extra}


def page_timing(page, years, median_ms):
    told = timing(f"test_bench_years.py::test_page[{years}-{page}]", median_ms, statements=7, sql_ms=1.25)
    return told | {"params": {"shop": years, "page": page}}


def run(*timings, cpu="a chip"):
    machine = {"cpu": {"brand_raw": cpu, "count": 2}, "python_version": "3.11.1", "machine": "x"}
    return {"machine_info": machine | {"load": 0.25, "memory_mb": 2048}, "benchmarks": list(timings)}


def run_of(pages, **more):
    return run(*(page_timing(page, years, ms) for page, curve in pages.items() for years, ms in curve.items()), **more)


def kept(folder, *runs):
    for place, one in enumerate(runs):
        path = folder / f"{place}.json"
        path.write_text(json.dumps(one))
        os.utime(path, (place, place))


def told(monkeypatch, capsys, folder, main):
    monkeypatch.setattr("sys.argv", ["it", str(folder)])
    return main(), capsys.readouterr().out


@pytest.mark.parametrize(("now_ms", "named"), [(119, []), (121, [("a", pytest.approx(1.21))]), (50, [])])
def test_what_takes_a_fifth_longer_is_named(now_ms, named):
    before, now = (compare.medians(run(timing("a", ms))) for ms in (100, now_ms))
    assert compare.regressions(now, before) == named


def test_the_worst_regression_comes_first_and_new_timings_are_none():
    before = compare.medians(run(timing("a", 10), timing("b", 10)))
    now = compare.medians(run(timing("a", 20), timing("b", 30), timing("new", 99)))
    assert [name for name, _ in compare.regressions(now, before)] == ["b", "a"]


@pytest.mark.parametrize(("later_ms", "code", "said"), [(10, 0, "a |"), (20, 1, "SLOWER 2.00 times: a")])
def test_the_report_ends_with_one_when_something_got_slower(tmp_path, monkeypatch, capsys, later_ms, code, said):
    kept(tmp_path, run(timing("a", 1)), run(timing("a", 10)), run(timing("a", later_ms)))
    found, out = told(monkeypatch, capsys, tmp_path, report.main)
    assert found == code
    assert said in out


def test_runs_of_two_machines_are_not_compared(tmp_path, monkeypatch, capsys):
    kept(tmp_path, run(timing("a", 10)), run(timing("a", 20), cpu="another"))
    for main in (report.main, compare.main):
        code, out = told(monkeypatch, capsys, tmp_path, main)
        assert code == 0
        assert "SLOWER" not in out


def test_without_a_run_the_report_says_how_to_make_one(tmp_path, monkeypatch, capsys):
    code, out = told(monkeypatch, capsys, tmp_path, report.main)
    assert code == 1
    assert "make bench" in out


@pytest.mark.parametrize(
    ("curve", "slope"), [({1: 5, 10: 5, 20: 5}, 0), ({1: 1, 10: 10, 20: 20}, 1), ({1: 1, 10: 1, 20: 4}, 2)]
)
def test_the_slope_is_that_of_the_steepest_stretch(curve, slope):
    assert growth.slope(curve) == pytest.approx(slope)


def test_a_slope_needs_two_sizes():
    with pytest.raises(ValueError, match="two sizes"):
        growth.slope({10: 3.0})


def test_a_page_that_grows_faster_than_its_data_is_named(tmp_path, monkeypatch, capsys):
    kept(tmp_path, run_of(PAGES | {"/rack": {1: 1, 10: 100, 20: 400}}))
    code, out = told(monkeypatch, capsys, tmp_path, report.main)
    assert code == 1
    assert "GROWS FASTER THAN ITS DATA, slope 2.00: /rack" in out


def test_linear_growth_is_allowed(tmp_path, monkeypatch, capsys):
    kept(tmp_path, run_of(PAGES))
    code, out = told(monkeypatch, capsys, tmp_path, report.main)
    assert code == 0
    assert "No page grows faster" in out


def test_the_table_names_the_machine_and_the_slow_pages():
    lines = years_table.table(run_of(PAGES)).splitlines()
    assert lines[0] == "a chip, 2 cores, 2 GB, load 0.2, Python 3.11.1"
    assert lines[4] == "| `/paces` | 20 | 200 | 400 | 600 | 7 | 1.2 | 1.00 |"
    assert lines[-1] == "2 more pages stay below 25 ms after 20 years."


def test_the_picture_has_a_line_a_page_and_one_for_what_is_linear(tmp_path, monkeypatch, capsys):
    kept(tmp_path, run_of(PAGES))
    told(monkeypatch, capsys, tmp_path, report.main)
    drawn = ET.fromstring((tmp_path / "growth.svg").read_text())  # noqa: S314 - drawn just now
    lines = drawn.findall("{*}polyline")
    assert len(lines) == 1 + len(PAGES)
    heights = [float(point.split(",")[1]) for point in lines[1].get("points").split()]
    assert heights == sorted(heights, reverse=True)  # /paces rises
    assert len(set(heights)) == 3


def test_a_timing_stands_beside_its_reference():
    ours, theirs = next(iter(report.BESIDE.items()))
    out = report.others(run(timing(ours, 5), timing(theirs[0], 500), timing("cut", 3, over_bound_pct=0.5)))
    assert "100 times as fast as statsmodels" in out
    assert "0.50% over its bound" in out
