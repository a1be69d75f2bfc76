from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal.errors import BadInput, MissingReference
from journal.pace.evidence import gather
from journal.pace.integrate import Grid, Sampled
from journal.pace.model import BookPace, Row, Task, fit
from journal.pace.priors import Fixed, Level, Priors
from tests.pace.shops import TODAY, draw_shop, make_book, work_project

BOOK = make_book()
CODE = "op_0"


def row(project="P1", on=TODAY, code=CODE, baseline=120.0, ratio=1.0, **more):
    return Row(project, on, BOOK[code].stage, ((code, 1.0),), baseline, baseline * ratio, **more)


def shop_rows(seed, projects):
    rng = np.random.default_rng(seed)
    shop = draw_shop(rng, BOOK)
    lines = [
        line
        for j in range(projects)
        for line in work_project(shop, rng, f"P{j}", min(12 * j // max(projects, 1), 11))[0]
    ]
    return list(gather(lines, BOOK).rows)


def learn(rows, **more):
    return fit(rows, BOOK, today=more.pop("today", TODAY), **more)


class TestWithoutLogs:
    def test_the_pace_is_the_book_within_the_prior(self):
        """The prior by brute force: a million draws of the effects and of their deviations."""
        rng = np.random.default_rng(0)
        n = 1_000_000
        log_ratio = rng.normal(0, 0.5, n)
        for scale in (0.25, 0.3):
            log_ratio += rng.normal(0, 1, n) * np.abs(rng.normal(0, scale, n))
        belief = learn([]).pace(CODE)
        low, half, high = np.exp(np.quantile(log_ratio, (0.1, 0.5, 0.9)))
        assert belief.ratio.p50 == pytest.approx(half, abs=0.01)
        assert belief.ratio.p10 == pytest.approx(low, rel=0.01)
        assert belief.ratio.p90 == pytest.approx(high, rel=0.01)
        assert (belief.logs, belief.stage_logs, belief.newest) == (0, 0, None)

    def test_the_deviations_are_their_priors(self):
        spreads = learn([]).spreads
        for name, scale, least in (("drift", 0.08, 0), ("stage", 0.25, 0), ("operation", 0.3, 0), ("project", 0.2, 0)):
            assert getattr(spreads, name).p50 == pytest.approx(least + 0.6745 * scale, rel=0.03)
        assert spreads.entry.p50 == pytest.approx(0.02 + 0.6745 * 0.35, rel=0.03)

    def test_an_operation_without_logs_keeps_its_own_prior_beside_one_with_many(self):
        """Only what is shared moves: same stage more than another stage, and both stay wider than the logged one."""
        known = learn([row(f"P{i}", ratio=1.5) for i in range(12)])
        wide = {code: math.log(known.pace(code).ratio.p90 / known.pace(code).ratio.p10) for code in BOOK}
        same_stage, other_stage = "op_3", "op_1"
        assert wide[CODE] < wide[same_stage] < wide[other_stage]
        assert known.pace(CODE).ratio.p50 > known.pace(same_stage).ratio.p50 > known.pace(other_stage).ratio.p50 > 1.0


class TestWithLogs:
    def test_one_log_is_weighed_as_the_normal_sum_says(self):
        """All deviations fixed: y ~ N(0, total), and the pace's share of the total by hand."""
        priors = Priors(Level(0, 0.5), Fixed(0.1), Fixed(0.2), Fixed(0.3), Fixed(0.15), Fixed(0.25))
        found = learn([row(ratio=2.0, baseline=60.0)], priors=priors)
        pace = 0.5**2 + 0.2**2 + 0.3**2
        total = pace + 0.15**2 + 0.25**2 * (1 + 20 / 60)
        mean, sd = pace / total * math.log(2), math.sqrt(pace - pace**2 / total)
        ratio = found.pace(CODE).ratio
        assert math.log(ratio.p50) == pytest.approx(mean, abs=1e-6)
        assert math.log(ratio.p90) == pytest.approx(mean + 1.2815515655 * sd, abs=1e-5)

    def test_a_stage_row_is_shared_by_its_operations_and_its_scatter_evens_out(self):
        priors = Priors(Level(0, 0), Fixed(0), Fixed(0), Fixed(0.3), Fixed(0), Fixed(0.1), small_task_minutes=0)
        staged = Row("P1", TODAY, "milling", (("op_0", 0.75), ("op_3", 0.25)), 100.0, 200.0, by_stage=True)
        found = learn([staged], priors=priors)
        total = (0.3**2 + 0.1**2) * (0.75**2 + 0.25**2)
        for code, share in staged.shares:
            assert found.effect("operation", code)[0] == pytest.approx(0.3**2 * share / total * math.log(2), abs=1e-9)
            assert (found.pace(code).logs, found.pace(code).stage_logs) == (0, 1)

    @given(seed=st.integers(0, 1000), more=st.integers(1, 4))
    @settings(max_examples=12, deadline=None)
    def test_more_logs_at_twice_the_book_move_the_pace_up(self, seed, more):
        rows = shop_rows(seed, 1)
        before = learn(rows).pace(CODE).ratio.p50
        if before > 1.9:  # this shop is slower than that already
            rows, before = [], learn([]).pace(CODE).ratio.p50
        paces = [before]
        for count in range(1, more + 1):
            extra = [row(f"extra {i}", ratio=2.0) for i in range(count)]
            paces.append(learn(rows + extra).pace(CODE).ratio.p50)
        # Once it is at twice the book, more of the same need not take it any further.
        assert all(later >= min(before, 2.0) for before, later in pairwise(paces))
        assert paces[-1] > before

    @given(seed=st.integers(0, 1000))
    @settings(max_examples=10, deadline=None)
    def test_the_order_of_rows_does_not_matter(self, seed):
        rows = shop_rows(seed, 4)
        mixed = [rows[i] for i in np.random.default_rng(seed).permutation(len(rows))]
        one, other = learn(rows).pace(CODE).ratio, learn(mixed).pace(CODE).ratio
        assert (one.p10, one.p50, one.p90) == pytest.approx((other.p10, other.p50, other.p90), rel=1e-5)

    @given(seed=st.integers(0, 1000), times=st.floats(0.2, 5))
    @settings(max_examples=10, deadline=None)
    def test_all_minutes_times_so_much_moves_the_level_and_nothing_else(self, seed, times):
        priors = Priors(level=Level(0, math.inf))
        rows = shop_rows(seed, 3)
        scaled = [replace(r, minutes=r.minutes * times) for r in rows]
        plain, moved = learn(rows, priors=priors), learn(scaled, priors=priors)
        assert moved.pace(CODE).ratio.p90 == pytest.approx(times * plain.pace(CODE).ratio.p90, rel=1e-4)
        assert moved.spreads.entry.p50 == pytest.approx(plain.spreads.entry.p50, rel=1e-4)

    def test_covariances_come_in_the_order_asked_for(self):
        found = learn(shop_rows(3, 4))
        every = found.covariances(range(len(found.names)))
        assert every == pytest.approx(every.transpose(0, 2, 1))
        assert (found.covariances([2, 0, 1]) == every[:, [2, 0, 1]][:, :, [2, 0, 1]]).all()
        mean, sd = found.effect(*found.names[1])
        second_moment = found.settings.weights @ (every[:, 1, 1] + found.means[:, 1] ** 2)
        assert sd**2 + mean**2 == pytest.approx(second_moment)

    def test_the_same_rows_give_the_same_answer_to_the_last_bit(self):
        rows = shop_rows(3, 5)
        assert learn(rows).paces() == learn(rows).paces()
        tasks = [Task(code, 100) for code in BOOK]
        assert np.array_equal(learn(rows).draw(tasks, 500, 7).minutes, learn(rows).draw(tasks, 500, 7).minutes)

    def test_the_truth_lies_in_most_ranges(self):
        rng = np.random.default_rng(11)
        shop = draw_shop(rng, BOOK)
        lines = [line for j in range(40) for line in work_project(shop, rng, f"P{j}", min(j // 3, 11))[0]]
        found = learn(gather(lines, BOOK).rows, today=date(2025, 12, 20))
        inside = [p.ratio.p10 < math.exp(shop.log_minutes(p.code, 12)) < p.ratio.p90 for p in found.paces()]
        assert sum(inside) >= 5

    def test_counts_and_newest_come_from_the_rows(self):
        rows = [row("P1", date(2025, 1, 2), logs=3), row("P2", date(2024, 5, 6))]
        belief = learn(rows).pace(CODE)
        assert (belief.logs, belief.newest) == (4, date(2025, 1, 2))
        assert (learn(rows).rows, learn(rows).projects) == (2, 2)

    def test_minutes_are_the_book_times_the_ratio(self):
        belief = learn([row(ratio=1.3)]).pace(CODE)
        assert belief.minutes_per_unit.p50 == pytest.approx(BOOK[CODE].pace_minutes * belief.ratio.p50)
        assert belief.setup_minutes.p90 == pytest.approx(BOOK[CODE].setup_minutes * belief.ratio.p90)

    def test_paces_come_in_book_order(self):
        assert [belief.code for belief in learn([]).paces()] == list(BOOK)


class TestDrift:
    OLD = tuple(row(f"P{i}", date(2018, 3, 1), ratio=1.6) for i in range(8))

    def test_old_logs_count_less_the_longer_the_shop_was_silent(self):
        widths = []
        for today in (date(2018, 6, 1), date(2020, 6, 1), date(2026, 6, 1)):
            ratio = learn(self.OLD, today=today).pace(CODE).ratio
            widths.append(ratio.p90 / ratio.p10)
        assert widths == sorted(widths)
        assert widths[2] > 1.05 * widths[0]

    def test_a_gap_of_five_years_is_ten_steps(self):
        priors = Priors(Level(0, 0.5), Fixed(0.1), Fixed(0), Fixed(0), Fixed(0), Fixed(0.2))
        near = learn(self.OLD, today=date(2018, 6, 1), priors=priors).effect("shop")[1]
        far = learn(self.OLD, today=date(2023, 6, 1), priors=priors).effect("shop")[1]
        assert far**2 - near**2 == pytest.approx(10 * 0.1**2, abs=1e-9)

    def test_a_shop_that_grew_quicker_is_seen_as_it_is_now(self):
        rows = [
            row(f"P{y}{i}", date(y, 3, 1), ratio=r)
            for y, r in ((2020, 2.0), (2023, 1.4), (2026, 1.0))
            for i in range(9)
        ]
        assert learn(rows).pace(CODE).ratio.p50 < 1.2


class TestDraws:
    TASKS = tuple(Task(code, 60.0 + 10 * i) for i, code in enumerate(BOOK))

    def test_without_logs_a_draw_is_the_prior_with_project_and_entry(self):
        rng = np.random.default_rng(1)
        n = 400_000
        log_ratio = rng.normal(0, 0.5, n)
        for scale in (0.25, 0.3, 0.2):
            log_ratio += rng.normal(0, 1, n) * np.abs(rng.normal(0, scale, n))
        log_ratio += rng.normal(0, math.sqrt(1 + 20 / 100), n) * (0.02 + np.abs(rng.normal(0, 0.35, n)))
        draws = learn([]).draw([Task(CODE, 100.0)], 100_000).minutes[:, 0] / 100
        assert np.quantile(draws, (0.1, 0.5, 0.9)) == pytest.approx(
            np.exp(np.quantile(log_ratio, (0.1, 0.5, 0.9))), rel=0.03
        )

    def test_overruns_come_together(self):
        priors = Priors(Level(0, 0), Fixed(0), Fixed(0), Fixed(0), Fixed(0.3), Fixed(0.1), small_task_minutes=0)
        logs = np.log(learn([], priors=priors).draw(self.TASKS[:2], 40_000).minutes / [60, 70])
        assert np.cov(logs.T) == pytest.approx(np.array([[0.10, 0.09], [0.09, 0.10]]), abs=0.003)

    def test_small_tasks_scatter_more(self):
        priors = Priors(Level(0, 0), Fixed(0), Fixed(0), Fixed(0), Fixed(0), Fixed(0.2))
        draws = learn([], priors=priors).draw([Task("op_0", 5.0), Task("op_1", 2000.0)], 40_000)
        assert np.log(draws.minutes).std(axis=0) == pytest.approx([0.2 * math.sqrt(5), 0.2 * math.sqrt(1.01)], rel=0.02)

    def test_draws_agree_with_the_paces(self):
        """With project and entry silenced the draws of one operation are its pace."""
        found = learn(shop_rows(5, 2)[:4], priors=Priors(project=Fixed(0)))
        silent = replace(found, settings=replace(found.settings, sds=found.settings.sds * [1, 1, 1, 1, 1e-6]))
        ratio = found.pace(CODE).ratio
        draws = silent.draw([Task(CODE, 1.0)], 100_000).total
        assert np.quantile(draws, (0.1, 0.5, 0.9)) == pytest.approx([ratio.p10, ratio.p50, ratio.p90], rel=0.01)

    def test_total_is_the_sum(self):
        draws = learn([]).draw(self.TASKS, 50)
        assert draws.minutes.shape == (50, len(BOOK))
        assert draws.total == pytest.approx(draws.minutes.sum(axis=1))

    def test_any_stretch_of_the_draws_is_a_fair_sample(self):
        draws = learn(shop_rows(2, 3)).draw(self.TASKS, 20_000).total
        first, last = np.median(draws[:5000]), np.median(draws[-5000:])
        assert first == pytest.approx(last, rel=0.03)

    def test_a_project_kept_is_drawn_with_its_own_luck(self):
        rows = shop_rows(4, 6) + [row("slow", code=code, ratio=2.5) for code in BOOK]
        found = learn(rows, keep=("slow",))
        own, new = found.draw(self.TASKS, project="slow").total, found.draw(self.TASKS).total
        assert np.median(own) > np.median(new)
        assert np.std(np.log(own)) < np.std(np.log(new))

    def test_keeping_a_project_changes_nothing_else(self):
        rows = shop_rows(4, 6)
        kept, plain = learn(rows, keep=("P2",)).pace(CODE).ratio, learn(rows).pace(CODE).ratio
        assert (kept.p10, kept.p90) == pytest.approx((plain.p10, plain.p90), rel=1e-5)

    def test_refusals(self):
        found = learn([])
        with pytest.raises(BadInput):
            found.draw(self.TASKS, 0)
        with pytest.raises(BadInput, match="each operation once"):
            found.draw([Task(CODE, 5), Task(CODE, 6)])
        with pytest.raises(MissingReference):
            found.draw([Task("nothing", 5)])
        with pytest.raises(MissingReference):
            found.draw([Task(CODE, 5)], project="P9")
        with pytest.raises(MissingReference):
            found.pace("nothing")
        with pytest.raises(MissingReference):
            found.effect("operation", "op_1")


@pytest.mark.parametrize(
    "make",
    [
        lambda: row(ratio=0),
        lambda: row(baseline=math.inf),
        lambda: Row("P", TODAY, "milling", (), 10, 10),
        lambda: Row("P", TODAY, "milling", (("a", 0.4), ("b", 0.4)), 10, 10),
        lambda: Row("P", TODAY, "milling", (("a", 0.5), ("a", 0.5)), 10, 10),
        lambda: Row("P", TODAY, "milling", (("a", 1.5), ("b", -0.5)), 10, 10),
        lambda: BookPace("a", "s", -1, 1),
        lambda: BookPace("a", "s", 0, 0),
        lambda: Task("a", 0),
    ],
)
def test_senseless_values_are_refused(make):
    with pytest.raises(BadInput):
        make()


def test_a_flat_level_needs_a_log():
    with pytest.raises(BadInput, match="no log"):
        learn([], priors=Priors(level=Level(0, math.inf)))


def test_sampling_and_grid_agree_on_the_paces_of_a_shop():
    priors = Priors(drift=Fixed(0.05), stage=Fixed(0.1), operation=Fixed(0.2))
    rows = shop_rows(9, 4)
    sampled = learn(rows, priors=priors, integrator=Sampled()).pace(CODE).ratio
    grid = learn(rows, priors=priors, integrator=Grid(61)).pace(CODE).ratio
    assert (sampled.p10, sampled.p50, sampled.p90) == pytest.approx((grid.p10, grid.p50, grid.p90), rel=0.003)
