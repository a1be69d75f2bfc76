import pytest
from journal import units
from journal.desk import ballpark as desk
from journal.desk import designs
from journal.desk.starting_stock import set_up
from journal.errors import BadInput, JournalError, MissingReference
from journal.records.engine import reading, writing
from tests.build.designs import STOOL
from tests.desk.finished import NOW, TODAY, built

LENGTH, DEPTH = units.inches(72), units.inches(24)


@pytest.fixture
def shop(file_engine):
    set_up(file_engine, TODAY)
    return file_engine


def reckoned(engine, length=LENGTH, depth=DEPTH, wood="", word=""):
    now = designs.bearings_of(engine, TODAY)
    with reading(engine) as session:
        return desk.ballpark(session, length, depth, wood, now, word=word)


def test_without_own_benches_it_is_the_design_alone(shop):
    found = reckoned(shop, word="slab-bench")
    now = designs.bearings_of(shop, TODAY)
    made = designs.try_out(found.design.design, {"length": LENGTH, "depth": DEPTH}, now).estimate
    assert found.own == ()
    assert found.price_cents.likely == made.price_cents
    assert found.hours.likely == pytest.approx(made.hours.at(0.5))
    assert found.hours.low < found.hours.likely < found.hours.high
    assert not found.stretched
    assert found.wood == "spruce-pine-fir"


def test_the_nearest_design_is_the_one_whose_usual_size_is_nearest(shop):
    assert reckoned(shop, units.inches(72), units.inches(36)).design.word == "assembly-table"
    assert reckoned(shop, units.inches(72), units.inches(24)).design.word == "slab-bench"
    assert reckoned(shop, units.inches(42), units.inches(24)).design.word == "knock-down-bench"


def test_beyond_every_design_it_is_worked_out_at_the_limit_and_says_so(shop):
    found = reckoned(shop, units.feet(12), DEPTH)
    assert found.stretched
    assert found.length_nm == units.inches(96)


def test_own_benches_draw_it_towards_themselves(shop):
    alone = reckoned(shop, word="slab-bench")
    codes = {built(shop, hours=200), built(shop, hours=220)}
    found = reckoned(shop, word="slab-bench")
    assert {one.code for one in found.own} == codes
    assert {(one.length_nm, one.depth_nm) for one in found.own} == {(LENGTH, DEPTH)}
    assert found.hours.likely > alone.hours.likely
    assert found.own_prices == 2


def test_what_a_quote_would_ask_stays_beside_it_and_nothing_less_is_safe(shop):
    alone = reckoned(shop, word="slab-bench")
    assert alone.quoted_cents == alone.price_cents.likely == alone.at_least_cents
    built(shop, price=100_000)
    cheap = reckoned(shop, word="slab-bench")
    assert cheap.price_cents.likely < cheap.quoted_cents == cheap.at_least_cents
    built(shop, price=90_000_000)
    dear = reckoned(shop, word="slab-bench")
    assert dear.at_least_cents == dear.price_cents.likely > dear.quoted_cents


def test_the_hours_and_the_price_of_several_are_those_of_one(shop):
    built(shop, benches=4, hours=200, price=1_600_000)
    (one,) = reckoned(shop).own
    assert (one.hours, one.price_cents) == (50, 400_000)


def test_a_price_in_another_wood_does_not_count_but_its_hours_do(shop):
    built(shop, stock="8/4 hard maple")
    found = reckoned(shop)
    assert len(found.own) == 1
    assert found.own_prices == 0
    assert reckoned(shop, wood="sugar maple").own_prices == 1


def test_benches_of_quite_another_size_do_not_count(shop):
    built(shop, length="24", half="6")
    assert reckoned(shop).own == ()


def test_benches_of_the_same_kind_count_alone_once_there_are_two(shop):
    same = {built(shop, design="slab bench"), built(shop, design="slab-bench-2")}
    other = built(shop, design="assembly table")
    assert {one.code for one in reckoned(shop, word="slab-bench").own} == same
    assert other in {one.code for one in reckoned(shop, word="knock-down-bench").own}


def test_a_wood_costs_what_it_costs(shop):
    assert reckoned(shop, wood="black walnut").price_cents.likely > reckoned(shop).price_cents.likely


@pytest.mark.parametrize(("length", "depth"), [(units.inches(6), DEPTH), (LENGTH, units.feet(30))])
def test_a_size_no_bench_has_is_refused(shop, length, depth):
    with pytest.raises(BadInput, match="12 in to 20 ft"):
        reckoned(shop, length, depth)


def test_an_unknown_kind_is_refused(shop):
    with pytest.raises(MissingReference):
        reckoned(shop, word="no-such")


def test_a_wood_without_a_price_says_what_there_is(shop):
    with pytest.raises(JournalError, match="no stock called"):
        reckoned(shop, wood="purple heart")


def test_a_design_without_a_depth_is_never_the_nearest(shop):
    with writing(shop) as session:
        entry = designs.add(session, STOOL, now=NOW)
    assert not desk.sized(entry)
    with pytest.raises(JournalError, match="parameters length and depth"):
        desk.nearest((entry,), LENGTH, DEPTH)


def test_a_design_of_one_length_is_brought_to_a_size_by_the_area(shop):
    text = STOOL.replace('"60", low = "20", high = "96"', '"60", low = "60", high = "60"')
    text = text.replace("[worked]", 'depth = { default = "12", low = "12", high = "30" }\n[worked]')
    with writing(shop) as session:
        designs.add(session, text, now=NOW)
    built(shop, length="60", half="12")
    assert reckoned(shop, units.inches(60), DEPTH, word="stool").own
