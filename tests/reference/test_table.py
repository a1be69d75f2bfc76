"""How a table is read and refused: broken copies of a small table and of every shared one."""

import csv
from dataclasses import dataclass

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from journal.errors import BadInput, BadRows
from journal.places import folder
from journal.reference import heading, load, materials, prices, sizes, table, woods, work
from journal.reference import settings as shop_settings

HEAD = "# Pieces; made up for this test; inches; 2026-01-01\n"
COLUMNS = "name,length,share,source,mark\n"
GOOD = "long,8 ft,0.5,a test,computed\n"

SHAPES = (
    sizes.SOFTWOOD_SIZES,
    sizes.HARDWOOD_THICKNESS,
    sizes.LENGTHS_SOLD,
    sizes.SHEET_GOODS,
    woods.GROUPS,
    woods.SPECIES,
    materials.ADHESIVES,
    materials.GLUE_WARMTH,
    materials.FINISHES,
    work.STAGES,
    work.CAUTIONS,
    work.MACHINES,
    work.OPERATIONS,
    work.FEATURES,
    shop_settings.ALLOWANCES,
    prices.START_PRICES,
)


@dataclass(frozen=True, slots=True)
class Piece:
    name: str
    length_nm: int
    share: float
    source: str
    mark: table.Mark

    def __post_init__(self):
        if self.share > 1:
            raise BadInput("share", self.share, "1 at most")


PIECES = table.Shape(
    file="pieces.csv",
    columns={"name": table.text, "length": table.length, "share": table.number},
    build=table.in_nm(Piece, "length"),
    key=lambda piece: piece.name,
)


def read(tmp_path, text):
    path = tmp_path / "pieces.csv"
    path.write_text(text, encoding="utf-8")
    return load(path, PIECES)


def problems(tmp_path, text):
    with pytest.raises(BadRows) as caught:
        read(tmp_path, text)
    return [(problem.line, problem.column) for problem in caught.value.problems]


def test_a_good_row_becomes_a_record(tmp_path):
    assert read(tmp_path, HEAD + COLUMNS + GOOD) == (
        Piece("long", 8 * 304_800_000, 0.5, "a test", table.Mark.COMPUTED),
    )


def test_quoted_cells_keep_their_commas(tmp_path):
    (piece,) = read(tmp_path, HEAD + COLUMNS + '"long, thin",8 ft,0,a test,computed\n')
    assert piece.name == "long, thin"


@pytest.mark.parametrize(
    ("row", "place"),
    [
        (",8 ft,0.5,a test,computed\n", (3, "name")),
        ("long,eight,0.5,a test,computed\n", (3, "length")),
        ("long,0,0.5,a test,computed\n", (3, "length")),
        ("long,8 ft,half,a test,computed\n", (3, "share")),
        ("long,8 ft,nan,a test,computed\n", (3, "share")),
        ("long,8 ft,inf,a test,computed\n", (3, "share")),
        ("long,8 ft,-0.5,a test,computed\n", (3, "share")),
        ("long,8 ft,2,a test,computed\n", (3, "share")),
        ("long,8 ft,0.5,,computed\n", (3, "source")),
        ("long,8 ft,0.5,a test,hearsay\n", (3, "mark")),
        ("long,8 ft,0.5,a test,\n", (3, "mark")),
        ("long,8 ft,0.5,a test\n", (3, "")),
        ("long,8 ft,0.5,a test,computed,more\n", (3, "")),
        ("\n", (3, "")),
    ],
)
def test_a_bad_cell_is_refused_by_line_and_column(tmp_path, row, place):
    assert problems(tmp_path, HEAD + COLUMNS + row) == [place]


def test_every_bad_place_is_named_and_nothing_is_taken(tmp_path):
    rows = "long,eight,half,a test,computed\n" + GOOD + ",8 ft,0.5,a test,hearsay\n"
    assert problems(tmp_path, HEAD + COLUMNS + rows) == [(3, "length"), (3, "share"), (5, "name"), (5, "mark")]


def test_a_key_may_stand_once(tmp_path):
    with pytest.raises(BadRows, match="line 5, name: the same as line 3"):
        read(tmp_path, HEAD + COLUMNS + GOOD + GOOD.replace("long", "short") + GOOD)


@pytest.mark.parametrize(
    ("columns", "places"),
    [
        ("name,share,source,mark\n", [(2, "length")]),
        ("name,length,share,source,mark,colour\n", [(2, "colour")]),
        ("name,name,length,share,source,mark\n", [(2, "name")]),
        ("length,name,share,source,mark\n", [(2, "")]),
    ],
)
def test_missing_unknown_double_or_shuffled_columns_are_refused(tmp_path, columns, places):
    assert problems(tmp_path, HEAD + columns + GOOD) == places


@pytest.mark.parametrize("head", ["", "Pieces; a test; inches; 2026\n", "# Pieces; a test; inches\n", "# ;;;\n"])
def test_a_table_without_its_heading_is_refused(tmp_path, head):
    assert (1, "") in problems(tmp_path, (head or "\n") + COLUMNS + GOOD)


def test_an_empty_file_is_refused(tmp_path):
    assert (1, "") in problems(tmp_path, "")


def test_a_table_without_rows_is_refused(tmp_path):
    assert problems(tmp_path, HEAD + COLUMNS) == [(3, "")]


def test_an_open_quote_is_refused(tmp_path):
    (place,) = problems(tmp_path, HEAD + COLUMNS + GOOD + '"long,8 ft\n')
    assert place[0] >= 4


def test_text_that_is_not_utf8_is_refused(tmp_path):
    path = tmp_path / "pieces.csv"
    path.write_bytes((HEAD + COLUMNS + GOOD).encode() + "fuß".encode("latin-1"))
    with pytest.raises(BadRows, match="UTF-8"):
        load(path, PIECES)


def test_the_heading_is_told_apart(tmp_path):
    path = tmp_path / "pieces.csv"
    path.write_text(HEAD, encoding="utf-8")
    assert heading(path) == table.Heading("Pieces", "made up for this test", "inches", "2026-01-01")


def test_readers_of_yes_whole_and_optional_refuse_the_rest():
    assert (table.yes_no("yes"), table.yes_no("no"), table.whole("12")) == (True, False, 12)
    assert table.optional(table.whole)("") is None
    for reader, cell in ((table.yes_no, "true"), (table.whole, "1.5"), (table.whole, "²"), (table.positive, "0")):
        with pytest.raises(BadInput):
            reader(cell)


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.file)
def test_every_shared_table_loads(shape):
    assert load(folder("shared") / shape.file, shape) == table.load_shared(shape)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_a_shared_table_with_a_cell_too_few_or_a_row_twice_is_refused_at_that_line(tmp_path, data):
    shape = data.draw(st.sampled_from(SHAPES))
    lines = (folder("shared") / shape.file).read_text(encoding="utf-8").splitlines()
    at = data.draw(st.integers(2, len(lines) - 1))
    twice = data.draw(st.booleans())
    broken = [*lines, lines[at]] if twice else [*lines[:at], lines[at].rpartition(",")[0], *lines[at + 1 :]]
    path = tmp_path / shape.file
    path.write_text("\n".join(broken), encoding="utf-8")
    with pytest.raises(BadRows) as caught:
        load(path, shape)
    assert [problem.line for problem in caught.value.problems] == [len(lines) + 1 if twice else at + 1]


@pytest.mark.parametrize(
    ("shape", "column", "cell"),
    [
        (work.OPERATIONS, "stage", "varnishing"),
        (work.OPERATIONS, "machine", "lathe"),
        (work.OPERATIONS, "caution", "weather"),
        (work.OPERATIONS, "machine_share", "1.5"),
        (work.FEATURES, "operations", "no_such_work:1"),
        (work.FEATURES, "operations", "plug"),
        (work.FEATURES, "operations", "plug:0"),
        (work.FEATURES, "operations", "plug:1;plug:2"),
        (work.FEATURES, "counted_by", "weight"),
        (work.MACHINES, "cautions", "saw|weather"),
        (materials.ADHESIVES, "cautions", "weather"),
        (materials.ADHESIVES, "warmth_curve", "tropical"),
        (materials.ADHESIVES, "spread_g_m2", "1"),
        (materials.ADHESIVES, "open_minutes_70f", "9999"),
        (materials.FINISHES, "cautions", "finish"),  # the first finish is a drying oil: no rags, refused
        (materials.FINISHES, "recoat_low_hours", "999"),
        (materials.FINISHES, "end_grain_factor", "0.5"),
        (materials.FINISHES, "coverage_first_ft2_gal", "9999"),
        (materials.FINISHES, "containers_ml", ""),
        (materials.GLUE_WARMTH, "open_share", "1.2"),
        (sizes.SOFTWOOD_SIZES, "category", "log"),
        (sizes.SOFTWOOD_SIZES, "dry", "3/8"),
        (sizes.HARDWOOD_THICKNESS, "s2s", "1"),
        (woods.SPECIES, "group", "driftwood"),
        (woods.SPECIES, "sg_12", "5.1"),
        (woods.SPECIES, "shrink_tangential_pct", "2"),
        (woods.SPECIES, "coef_tangential", "0.001"),
        (woods.SPECIES, "mark", "published"),  # the first species' coefficients are from memory
        (shop_settings.ALLOWANCES, "unit", "cubits"),
        (shop_settings.ALLOWANCES, "value", "99"),
    ],
)
def test_a_bad_cell_in_a_shared_table_is_refused_where_it_stands(tmp_path, shape, column, cell):
    lines = (folder("shared") / shape.file).read_text(encoding="utf-8").splitlines()
    row = dict(zip(lines[1].split(","), _cells(lines[2]), strict=True))
    row[column] = cell
    lines[2] = ",".join(f'"{value}"' for value in row.values())
    path = tmp_path / shape.file
    path.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(BadRows) as caught:
        load(path, shape)
    assert [(problem.line, problem.column) for problem in caught.value.problems] == [(3, column)]


def _cells(line):
    return next(csv.reader([line]))
