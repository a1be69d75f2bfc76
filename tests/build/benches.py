"""Parts, a stock book and rules that the build and quote tests share; sizes and settings a person can work with by hand."""

from dataclasses import replace
from fractions import Fraction

from journal import units
from journal.build.finishing import FinishRules
from journal.build.gluing import GlueRules
from journal.build.milling import MillingRules
from journal.build.parts import Along, Faces, Feature, Part
from journal.build.steps import Sawing, WorkRules
from journal.build.stock import Dimensional, Offer, Rough, Sheet, StockBook
from journal.quote.takeoff import ShopRules

IN = units.NM_PER_INCH
FT = units.NM_PER_FOOT

# Shop settings of common practice: 3/16, 1/4 and 5/16 in off for flatness to 4 ft, 8 ft and beyond; 3 in on a segment.
MILLING = MillingRules(
    thickness_steps=(
        (4 * FT, units.inches("3/16")),
        (8 * FT, units.inches("1/4")),
        (1000 * FT, units.inches("5/16")),
    ),
    segment_extra_nm=3 * IN,
    end_trim_nm=units.inches("1/2"),
    kerf_rip_nm=units.inches("1/8"),
    kerf_crosscut_nm=units.inches("1/8"),
    eased_edge_nm=units.inches("1/8"),
    edge_jointing_nm=units.inches("1/16"),
    flatten_glued_nm=units.inches("1/8"),
    glued_edge_nm=units.inches("1/8"),
    section_joint_nm=units.inches("1/8"),
    slab_trim_nm=2 * IN,
    jointer_width_nm=6 * IN,
    planer_width_nm=25 * IN // 2,
    crosscut_width_nm=12 * IN,
    shortest_nm=12 * IN,
)
GLUING = GlueRules(spread_ml_m2=150.0, waste=1.1, clamp_spacing_nm=7 * IN, joint_area_nm2=24 * IN * IN)
FINISHING = FinishRules(
    coverage_first_ft2_gal=400.0, coverage_later_ft2_gal=500.0, end_grain_factor=2.0, coats=3, wipe_off=True
)
WORK = WorkRules(
    joint_face_passes=3,
    joint_edge_passes=2,
    plane_depth_nm=units.inches("1/16"),
    mill_again_passes=2,
    section_passes=4,
    grits=3,
    moves_per_bench=3,
    shop_day_hours=6.0,
    has_planer=True,
)
RULES = ShopRules(MILLING, GLUING, FINISHING, WORK, reject_dimensional=0.15, reject_rough=0.30, reject_sheet=0.05)

_DRESSED = {"2x4": ("1 1/2", "3 1/2"), "2x6": ("1 1/2", "5 1/2"), "2x8": ("1 1/2", "7 1/4"), "4x4": ("3 1/2", "3 1/2")}


def dimensional(nominal="2x8", species="Douglas-fir", lengths_ft=(8, 10, 12, 16), cents_per_foot=118, **changes):
    thickness, width = _DRESSED[nominal]
    nominal_thickness, nominal_width = nominal.split("x")
    made = Dimensional(
        code=f"{nominal} {species}",
        species=species,
        nominal=nominal,
        thickness_nm=units.inches(thickness),
        width_nm=units.inches(width),
        nominal_thickness_nm=units.inches(nominal_thickness),
        nominal_width_nm=units.inches(nominal_width),
        offers=tuple(Offer(cents_per_foot * length, None, length * FT) for length in lengths_ft),
    )
    return replace(made, **changes)


def rough(quarter="8/4", species="sugar maple", cents=880, **changes):
    made = Rough(
        code=f"{quarter} {species}",
        species=species,
        quarter=quarter,
        thickness_nm=units.parse_quarter(quarter),
        offer=Offer(cents),
        usual_width_nm=7 * IN,
        usual_length_nm=9 * FT,
    )
    return replace(made, **changes)


def sheet(code="3/4 plywood", thickness="23/32", **changes):
    made = Sheet(
        code=code,
        kind="plywood, construction",
        thickness_nm=units.parse_length(thickness),
        width_nm=4 * FT,
        length_nm=8 * FT,
        offer=Offer(6200),
        density_kg_m3=550.0,
        grain=False,
        nominal_thickness_nm=units.inches("3/4"),
    )
    return replace(made, **changes)


BOOK = StockBook(
    (
        dimensional("2x4", cents_per_foot=58),
        dimensional("2x6", cents_per_foot=88),
        dimensional("2x8"),
        dimensional("4x4", cents_per_foot=142),
        dimensional("2x8", "southern pine", cents_per_foot=109),
        rough("4/4", cents=690),
        rough("8/4"),
        sheet(),
    ),
    usual_species="Douglas-fir",
)


def inches(nm):
    return Fraction(nm, IN)


def part(label="leg", thickness="1 1/4", width="3", length=30, **fields):
    """A solid part of the usual wood, sizes in inches."""
    values = {"quantity": 1, "stock": "2x8 Douglas-fir", **fields}
    return Part(
        label=label,
        thickness_nm=units.inches(thickness),
        width_nm=units.inches(width),
        length_nm=units.inches(length),
        **values,
    )


def top(**fields):
    """A bench top of boards on edge, 3 × 24 × 96 in, strips to be worked out."""
    values = {"label": "top", "thickness": "3", "width": "24", "length": 96, "strips": 0, "along": Along.WIDTH}
    return part(**{**values, **fields})


def laminated_leg(**fields):
    """A leg of strips face to face, 3¾ × 3 × 34 in, strips to be worked out."""
    values = {"label": "leg", "thickness": "3 3/4", "width": "3", "length": 34, "quantity": 4}
    return part(**{**values, "strips": 0, "along": Along.THICKNESS, **fields})


def bench():
    """A whole bench: slab, legs, stretchers with joints, holes, a shelf of plywood."""
    return (
        top(features=(Feature("hole", count=20),)),
        laminated_leg(features=(Feature("mortise", count=2),)),
        part(
            "stretcher",
            "1 1/4",
            "5",
            60,
            quantity=2,
            features=(Feature("tenon", count=2), Feature("groove", length_nm=4 * FT)),
        ),
        part("shelf", "3/4", "20", 58, stock="3/4 plywood", faces=Faces(1, 0, 0)),
    )


def sawing(stock, boards=3, segments=4, segments_nm=20 * FT, rips_nm=60 * FT):
    return Sawing(stock, boards, segments + boards, segments, segments_nm, rips_nm)
