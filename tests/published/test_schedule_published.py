"""Schedules, networks and finishes against published instances, textbook tables and a general graph library."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import networkx as nx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.days.calendar import Calendar, clock
from journal.days.chain import critical_chain
from journal.days.critical import critical_times
from journal.days.hours import Span, Week
from journal.days.search import schedule
from journal.days.spread import finishes
from journal.days.verify import faults
from journal.days.workload import Activity, After, Need, Workload

DATA = Path(__file__).parent / "data" / "schedule"
ALWAYS = Calendar(Week(tuple(Span(weekday, 0, 1440) for weekday in range(7))))
EPOCH = date(1970, 1, 1)  # its wall time is 0

# Optimistic, most likely and pessimistic time, and what comes before. Three paths: an operations-management lecture (course
# notes, read 2026-11); fourteen activities: a published exercise (read 2026-11, digits doubled there by a slip of print).
THREE_PATHS = {
    "A": ((5, 6, 7), ""),
    "B": ((8, 8, 11), ""),
    "C": ((6, 8, 11), "A"),
    "D": ((9, 12, 15), ""),
    "E": ((5, 6, 9), "C"),
    "F": ((5, 6, 7), "D"),
    "G": ((2, 3, 7), "F"),
    "H": ((4, 4, 5), "B"),
    "I": ((5, 7, 8), "H"),
}
FOURTEEN = {
    "A": ((5, 5, 7), ""),
    "B": ((1, 2, 5), ""),
    "C": ((5, 5, 5), "A"),
    "D": ((4, 8, 13), "A"),
    "E": ((1, 10, 17), "BC"),
    "F": ((1, 5, 7), "D"),
    "G": ((2, 6, 9), "D"),
    "H": ((4, 4, 6), "EF"),
    "I": ((2, 7, 10), "GH"),
    "J": ((2, 4, 7), "I"),
    "K": ((6, 10, 13), "I"),
    "L": ((2, 6, 6), "J"),
    "M": ((2, 2, 3), "K"),
    "N": ((7, 7, 12), "LM"),
}
# Duration and what comes before; early and late start and end as printed (course page on project scheduling, read 2026-11).
FIVE = {
    "A": (12, "", (0, 12, 0, 12)),
    "B": (10, "", (0, 10, 2, 12)),
    "C": (10, "AB", (12, 22, 12, 22)),
    "D": (5, "C", (22, 27, 22, 27)),
    "E": (3, "C", (22, 25, 24, 27)),
}


def always():
    return clock(ALWAYS, EPOCH)


def library_load(name):
    given_ = json.loads((DATA / f"{name}.json").read_text())
    before = {at: [] for at in range(len(given_["jobs"]))}
    for at, job in enumerate(given_["jobs"]):
        for after in job["successors"]:
            before[after].append(at)
    activities = tuple(
        Activity(
            str(at),
            f"job {at}",
            job["duration"],
            people=0,
            after=tuple(After(str(one)) for one in before[at]),
            needs=tuple(Need(f"R{number}", amount) for number, amount in enumerate(job["demand"])),
        )
        for at, job in enumerate(given_["jobs"])
    )
    there = {f"R{number}": amount for number, amount in enumerate(given_["capacity"])}
    return Workload(activities, 1, there), given_["optimum"]


@pytest.mark.parametrize("name", ["j30_1_1", "j30_5_1", "j30_9_1", "j30_21_3"])
def test_library_instances_end_within_three_per_cent_of_the_published_optimum(name):
    # PSPLIB j30, Kolisch and Sprecher 1996; optima as published, proven again by a general solver. See the data's README.
    load, optimum = library_load(name)
    found = schedule(load, always(), 0, shaken=300, moved=1500)
    assert faults(found, ALWAYS) == ()
    assert found.bound <= optimum <= found.finish <= optimum * 1.03


def test_without_limits_an_instance_is_as_long_as_its_longest_way():
    # PSPLIB j301_1 prints MPM-Time 38 for its network alone.
    load, _ = library_load("j30_1_1")
    assert max(one.early_end for one in critical_times(load.activities).values()) == 38
    found = schedule(Workload(load.activities, 1), always(), 0)
    assert (found.finish, found.bound, found.status) == (38, 38, "optimal")


def test_a_printed_table_of_early_and_late_times():
    activities = tuple(
        Activity(name, name, minutes, after=tuple(After(one) for one in before))
        for name, (minutes, before, _) in FIVE.items()
    )
    times = critical_times(activities)
    for name, (_, _, printed) in FIVE.items():
        one = times[name]
        assert (one.early_start, one.early_end, one.late_start, one.late_end) == printed
    assert [name for name, one in times.items() if one.slack == 0] == ["A", "C", "D"]
    assert (times["B"].slack, times["E"].slack) == (2, 2)


def network(table, unit=1):
    """Activities with their expected times in sixths of `unit`; (a + 4 m + b) / 6."""
    return tuple(
        Activity(name, name, (low + 4 * likely + high) * unit, people=0, after=tuple(After(one) for one in before))
        for name, ((low, likely, high), before) in table.items()
    )


def variance(table, names):
    return sum(((high - low) / 6) ** 2 for (low, _, high), _ in (table[name] for name in names))


def test_expected_length_critical_path_and_variance_of_fourteen_activities():
    # Printed: expected times and deviations of all fourteen, times of A to F. Length and variance follow from them.
    activities = network(FOURTEEN)
    times = critical_times(activities)
    assert max(one.early_end for one in times.values()) / 6 == pytest.approx(50.8333, abs=1e-4)
    found = schedule(Workload(activities, 1), always(), 0)
    path = [link.row.activity.key for link in critical_chain(found, always())]
    assert path == list("ACEHIKMN")
    assert variance(FOURTEEN, path) == pytest.approx(11.1944, abs=1e-4)
    printed = {
        "A": (0, 5.33, 0),
        "B": (0, 2.33, 8),
        "C": (5.33, 10.33, 0),
        "D": (5.33, 13.5, 1.83),
        "F": (13.5, 18.17, 1.83),
    }
    for name, (start, end, slack) in printed.items():
        one = times[name]
        assert (one.early_start / 6, one.early_end / 6, one.slack / 6) == pytest.approx((start, end, slack), abs=0.005)


def test_chance_of_three_paths_to_be_done_in_time():
    # Printed: paths of 20.50, 21.50 and 19.50 with deviations 1.118, 1.344 and 0.726. Independent and normal, all are done
    # by 24 with 0.9991 × 0.9686 × 1.0000 = 0.968.
    activities = network(THREE_PATHS, 100)
    found = schedule(Workload(activities, 1), always(), 0)
    assert found.finish == 21.5 * 600
    deviation = np.array([(high - low) * 100.0 for (low, _, high), _ in THREE_PATHS.values()])
    expected = np.array([one.minutes for one in activities], dtype=float)
    draws = 6000
    minutes = expected + deviation * np.random.default_rng(7).standard_normal((draws, len(activities)))
    chance = finishes(found, always(), np.maximum(minutes, 0)).chance_by(24 * 600)
    assert chance == pytest.approx(0.968, abs=3 * np.sqrt(0.968 * 0.032 / draws))


@given(
    st.lists(
        st.tuples(st.integers(0, 30), st.sets(st.integers(0, 8), max_size=3), st.integers(0, 9)), min_size=1, max_size=9
    )
)
def test_longest_ways_are_those_of_a_graph_library(rows):
    # networkx, dag_longest_path_length, on the same network with waits.
    graph = nx.DiGraph()
    activities = []
    for at, (minutes, before, wait) in enumerate(rows):
        graph.add_edge(("start", at), ("end", at), weight=minutes)
        after = [one for one in sorted(before) if one < at]
        for one in after:
            graph.add_edge(("end", one), ("start", at), weight=wait)
        activities.append(
            Activity(str(at), str(at), minutes, people=0, after=tuple(After(str(one), wait) for one in after))
        )
    longest = nx.dag_longest_path_length(graph)
    assert max(one.early_end for one in critical_times(activities).values()) == longest
    found = schedule(Workload(tuple(activities), 1), always(), 0)
    assert found.finish == found.bound == longest
