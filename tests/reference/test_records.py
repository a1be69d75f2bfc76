"""What the shared tables say, and that they agree with one another."""

import subprocess
import sys
from dataclasses import FrozenInstanceError

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import reference, units
from journal.errors import BadInput, MissingReference
from journal.reference import Mark

HAND_WORK = {
    "plane_by_hand",
    "flatten_panel",
    "flatten_final",
    "cut_mortise",
    "cut_dovetail",
    "fit_laminated_joint",
    "cut_tenon",
    "cut_lap",
    "ease_edges",
    "level_feet",
}
JOINT_SIDES = {"mortise", "lap", "laminated joint", "dovetail"}


def in_inches(*values):
    return tuple(units.inches(value) for value in values)


def test_a_dressed_size_is_asked_for_by_its_nominal_size():
    assert reference.dressed("2", "8") == in_inches("1 1/2", "7 1/4")
    assert reference.dressed("2", "8", dry=False) == in_inches("1 9/16", "7 1/2")
    assert reference.dressed("1", "12") == in_inches("3/4", "11 1/4")
    assert reference.dressed("4", "6") == in_inches("3 1/2", "5 1/2")
    assert reference.dressed("1 1/4", "6") == reference.dressed("1-1/4", "6") == in_inches("1", "5 1/2")


def test_timbers_lose_as_their_rule_says():
    assert reference.dressed("6", "6") == in_inches("5 1/2", "5 1/2")
    assert reference.dressed("6", "10") == in_inches("5 1/2", "9 1/4")
    assert reference.dressed("8", "8", dry=False) == in_inches("7 1/2", "7 1/2")


@pytest.mark.parametrize(("thickness", "width"), [("2", "7"), ("2", "3 1/4"), ("7", "8"), ("2", "20"), ("30", "4")])
def test_a_nominal_size_that_is_not_in_the_table_is_refused_not_guessed(thickness, width):
    with pytest.raises(MissingReference):
        reference.dressed(thickness, width)


@pytest.mark.parametrize("nominal", ["", "two", "2x4", "-2"])
def test_a_nominal_size_that_is_no_length_is_refused(nominal):
    with pytest.raises(BadInput):
        reference.dressed(nominal, "4")


def test_hardwood_is_found_by_the_quarter():
    eight = reference.hardwood_quarters()["8/4"]
    assert (eight.rough_nm, eight.s1s_nm, eight.s2s_nm) == in_inches("2", "1 13/16", "1 3/4")
    for quarter, row in reference.hardwood_quarters().items():
        assert row.rough_nm == int(quarter.removesuffix("/4")) * units.inches("1/4")


def test_lengths_sold_run_in_steps():
    assert reference.lengths_sold("softwood") == tuple(units.feet(n) for n in range(8, 21, 2))
    assert reference.lengths_sold("hardwood") == tuple(units.feet(n) for n in range(4, 17))
    with pytest.raises(MissingReference, match="softwood"):
        reference.lengths_sold("bamboo")


def test_a_sheet_is_no_thicker_than_its_name_says():
    for sheet in reference.sheet_goods().values():
        assert sheet.thickness_nm <= units.parse_length(sheet.nominal)
        assert sheet.width_nm <= sheet.length_nm


def test_a_species_is_found_by_any_of_its_names():
    maple = reference.all_species()["sugar maple"]
    for name in ("sugar maple", "Hard Maple", "maple, hard", "hard-maple", " HARD  maple "):
        assert reference.species(name) is maple


def test_no_two_woods_answer_to_one_name():
    taken = {}
    for wood in (*reference.all_species().values(), *(g.mean for g in reference.species_groups().values())):
        for name in {wood.name.casefold(), *(alias.casefold() for alias in wood.aliases)}:
            assert taken.setdefault(name, wood.name) == wood.name


def test_an_unknown_wood_is_refused_with_the_known_ones():
    with pytest.raises(MissingReference, match="southern pine"):
        reference.species("unobtainium")


@pytest.mark.parametrize(
    ("name", "alias"),
    [("southern pine", "SYP"), ("spruce-pine-fir", "SPF"), ("hem-fir", "Hem Fir"), ("Douglas-fir", "douglas fir")],
)
def test_a_group_as_sold_is_the_mean_of_its_species(name, alias):
    group = reference.species_groups()[name]
    mean = reference.species(alias)
    assert mean is group.mean
    assert mean.sg_12 == pytest.approx(sum(one.sg_12 for one in group.members) / len(group.members))
    assert group.sg_12_low == min(one.sg_12 for one in group.members)
    assert group.sg_12_high == max(one.sg_12 for one in group.members)
    assert group.sg_12_low < mean.sg_12 < group.sg_12_high
    assert mean.mark is Mark.COMPUTED
    assert all(one.name in mean.source for one in group.members)


def test_a_warm_shop_has_less_time():
    assert reference.assembly_shares("resin", 75) == pytest.approx((0.75, 0.875))
    assert reference.assembly_shares("resin", 55) == (1, 1)
    assert reference.assembly_shares("resin", 120) == (0, 0.25)
    with pytest.raises(BadInput, match="resin"):
        reference.assembly_shares("tropical", 70)


@given(curve=st.sampled_from(["resin", "general"]), temps=st.lists(st.floats(-40, 200), min_size=2, max_size=2))
def test_warmer_never_gives_more_time(curve, temps):
    cool, warm = sorted(temps)
    shares_cool, shares_warm = (reference.assembly_shares(curve, temp) for temp in (cool, warm))
    assert all(0 <= share <= 1 for share in (*shares_cool, *shares_warm))
    assert all(w <= c + 1e-12 for c, w in zip(shares_cool, shares_warm, strict=True))


def test_spread_by_volume_follows_from_mass():
    for glue in reference.adhesives().values():
        assert glue.spread_ml_m2 * glue.density_kg_l == pytest.approx(glue.spread_g_m2)


def test_rags_are_spoken_of_for_drying_oils_only():
    spoken = {key for key, finish in reference.finishes().items() if "rags" in finish.cautions}
    assert spoken == {key for key, finish in reference.finishes().items() if finish.drying_oil}
    assert "boiled_linseed_oil" in spoken
    assert spoken.isdisjoint({"shellac", "paste_wax", "water_borne"})


def test_stages_stand_in_order_and_every_one_has_work():
    order = [stage.order for stage in reference.stages().values()]
    assert order == sorted(set(order))
    assert {operation.stage for operation in reference.operations().values()} == set(reference.stages())


def test_hand_work_is_marked_for_sharpening():
    assert {code for code, operation in reference.operations().items() if operation.hand} == HAND_WORK
    assert all(reference.operations()[code].minutes_per_unit > 0 for code in HAND_WORK)


def test_every_machine_works_somewhere_and_is_cautioned():
    used = {operation.machine for operation in reference.operations().values()} - {""}
    assert used == set(reference.machines())
    assert all(machine.cautions for machine in reference.machines().values())


def test_every_caution_is_reached():
    reached = {operation.caution for operation in reference.operations().values()}
    for table in (reference.machines(), reference.adhesives(), reference.finishes()):
        reached |= {key for row in table.values() for key in row.cautions}
    assert set(reference.cautions()) - reached == {"wet_wood", "tipping"}  # of the job as a whole


@pytest.mark.parametrize("name", ["jointer", "planer", "saw", "router", "manual"])
def test_a_machine_caution_points_to_manual_and_local_codes(name):
    assert "manual and local codes" in reference.cautions()[name].text


def test_a_feature_is_found_by_word_plural_and_other_names():
    hole = reference.features()["hole"]
    for word in ("hole", "Holes", "dog hole", "DOG HOLES", "dog-holes"):
        assert reference.find_feature(word) is hole
    assert reference.find_feature("round over") is reference.features()["profile"]
    with pytest.raises(MissingReference, match="mortise"):
        reference.find_feature("cup holder")


def test_a_joint_is_fitted_and_assembled_once():
    sides = {
        word
        for word, feature in reference.features().items()
        if {"dry_fit", "assemble"} & {code for code, _ in feature.operations}
    }
    assert sides == JOINT_SIDES
    for word in sides:
        counts = dict(reference.features()[word].operations)
        assert (counts["dry_fit"], counts["assemble"]) == (1, 1)


def test_allowances_speak_in_nanometres_where_they_are_lengths():
    assert reference.allowance("segment_extra").length_nm == units.inches(3)
    assert reference.allowance("thickness_medium_up_to").length_nm == units.feet(8)
    assert reference.allowance("reject_softwood").value == 0.15
    with pytest.raises(BadInput, match="length"):
        _ = reference.allowance("reject_softwood").length_nm
    with pytest.raises(MissingReference):
        reference.allowance("luck")


def test_longer_boards_lose_more_in_flattening():
    steps = [reference.allowance(f"thickness_{size}").length_nm for size in ("short", "medium", "long")]
    assert steps == list(in_inches("3/16", "1/4", "5/16"))


def test_an_assumption_never_calls_itself_published():
    for row in reference.allowances().values():
        if "assumption" in row.source or "common practice of the trade" in row.source:
            assert row.mark is not Mark.PUBLISHED


def test_records_and_tables_cannot_be_changed():
    with pytest.raises(FrozenInstanceError):
        reference.stages()["stock"].name = "Wood"
    with pytest.raises(TypeError):
        reference.operations()["jig"] = None


def test_importing_the_tables_reads_none_and_needs_no_heavy_library():
    code = (
        "import sys; from journal import reference; from journal.reference import work, sizes;"
        "assert work.operations.cache_info().currsize == 0 and sizes.softwood_sizes.cache_info().currsize == 0;"
        "print(sorted({'numpy', 'pandas', 'flask', 'sqlalchemy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
