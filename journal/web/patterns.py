"""/patterns: every macro once, with specimens instead of a shop's figures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from flask import Blueprint, flash, redirect, render_template, url_for
from wtforms.validators import Optional

from journal import units
from journal.build.design_parts import Box, Hole, Made, Marked
from journal.build.drawing import Drawn, draw
from journal.desk.parts import Trouble
from journal.errors import Problem
from journal.web import filters, forms, nav
from journal.web.drawings import BenchFigure, Sheet, bench_figure, thumbnail
from journal.web.errors import ErrorPage
from journal.web.pictures import Histogram, Mark, RangeFigure, range_figure
from journal.web.state import display, in_marks
from journal.working import Basis, Line, Spread

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

bp = Blueprint("patterns", __name__)


class SpecimenForm(forms.JournalForm):
    """One of each field."""

    client = forms.TextField("Client")
    length = forms.LengthField("Length", at_least=units.inches(12), at_most=units.feet(16))
    thickness = forms.QuarterField("Rough thickness", required=False)
    benches = forms.CountField("Benches", at_least=1, at_most=99)
    wage = forms.MoneyField("Wage an hour")
    flattening = forms.DurationField("Flattening, last time", required=False)
    oil = forms.LiquidField("Oil used", required=False)
    margin = forms.PercentField("Margin", at_least=0)
    moisture = forms.NumberField("Moisture", required=False)
    wood = forms.SelectField(
        "Wood", choices=[forms.SelectChoice("fir", "Construction fir"), forms.SelectChoice("ash", "Ash")]
    )
    needed = forms.DateField("Needed by", validators=[Optional()])
    crowned = forms.BooleanField("Crowned boards sorted out")
    note = forms.NoteField("Note")


@dataclass(frozen=True, slots=True)
class SpecimenPart:
    """A row of the specimen table."""

    label: str
    quantity: int
    thickness_nm: int
    width_nm: int
    length_nm: int
    cost_cents: int


@dataclass(frozen=True, slots=True)
class PatternsPage:
    """What templates/patterns.html receives.

    Attributes:
        form: one of each field.
        sections: links as in the header, all there.
        tabs: links as under a project's name.
        parts: rows of the specimen table.
        total_cents: their sum.
        fractions: lengths with and without a glyph of their own.
        bases: every badge.
        working: a tree of lines.
        picture: a drawn range.
        bench: a drawn bench; thumb: the same, small.
        troubles: why parts cannot be made.
        refusal: an error page with bad rows.
    """

    form: SpecimenForm
    sections: tuple[nav.Link, ...]
    tabs: tuple[nav.Link, ...]
    parts: tuple[SpecimenPart, ...]
    total_cents: int
    fractions: tuple[int, ...]
    bases: tuple[Basis, ...]
    working: Line
    picture: RangeFigure
    bench: BenchFigure
    thumb: Sheet
    troubles: tuple[Trouble, ...]
    refusal: ErrorPage


@bp.get("/patterns")
def show() -> ResponseReturnValue:
    """Every macro once."""
    return _render(SpecimenForm())


@bp.post("/patterns")
def check() -> ResponseReturnValue:
    """Read the specimen form and keep nothing."""
    form = SpecimenForm()
    if not form.validate_on_submit():
        return _render(form), 422
    flash("Read without a fault. Nothing is kept on this page.", "good")
    return redirect(url_for("patterns.show"))


def _render(form: SpecimenForm) -> str:
    parts = _parts()
    views = _views()
    page = PatternsPage(
        form=form,
        sections=_links("Projects", *(entry.label for entry in nav.SECTIONS)),
        tabs=_links("Price", *(entry.label for entry in nav.PROJECT_TABS)),
        parts=parts,
        total_cents=sum(part.cost_cents for part in parts),
        fractions=tuple(units.inches(text) for text in ("1 1/2", "76 1/2", "1 7/16", "13/32", "26")),
        bases=tuple(Basis),
        working=_working(),
        picture=_picture(),
        bench=bench_figure("bench-specimen", "A trestle", views, filters.dimension, display().system),
        thumb=thumbnail(views[0]),
        troubles=(
            Trouble(("Leg",), "3 1/2 in is thicker than any board it may come from"),
            Trouble(("Drawer side",), "no stock called “1/2 plywood”"),
        ),
        refusal=_refusal(),
    )
    return render_template("patterns.html", page=page)


def _links(current: str, *labels: str) -> tuple[nav.Link, ...]:
    return tuple(nav.Link(label, "#navigation", current=label == current) for label in labels)


def _parts() -> tuple[SpecimenPart, ...]:
    inches = units.inches
    return (
        SpecimenPart("Top, front slab", 1, inches("3 3/4"), inches("11 1/2"), inches(76), 18_420),
        SpecimenPart("Leg", 4, inches("4 1/2"), inches("5 1/4"), inches("31 7/16"), 9_880),
        SpecimenPart("Long stretcher", 2, inches("1 1/2"), inches("5 1/4"), inches("49 1/2"), 4_265),
        SpecimenPart("Short rail", 4, inches("1 1/2"), inches("5 1/4"), inches("20 1/8"), 3_150),
    )


def _working() -> Line:
    """A specimen with one line of each kind; its figures agree with their formulas."""
    pace = Line(
        "Pace of flattening", 3.1, "min/ft²", "", Basis.LOGS, "6 evenings, the last in March", Spread(2.4, 3.1, 4.2)
    )
    area = Line("Top, both faces", 25.3, "ft²", "2 × 76 × 24 ÷ 144", Basis.WORKED)
    set_up = Line("Set-up", 15, "min", "", Basis.BOOK, "no evening logged yet")
    minutes = Line(
        "Flattening the top",
        93.4,
        "min",
        "15 + 25.3 × 3.1",
        Basis.WORKED,
        "",
        Spread(76, 93, 121),
        (set_up, area, pace),
    )
    wage = Line("Wage", 3_200, "cents", "", Basis.SETTING, "Shop, wage an hour")
    labour = Line(
        "Labour", 4_981, "cents", "93.4 ÷ 60 × $32.00", Basis.WORKED, "", Spread(4_053, 4_960, 6_453), (minutes, wage)
    )
    paper = Line("Abrasive paper", 640, "cents", "4 sheets × $1.60", Basis.PRICES, "bought in February")
    return Line(
        "Flattening, all in",
        5_621,
        "cents",
        "$49.81 + $6.40",
        Basis.WORKED,
        "",
        Spread(4_690, 5_600, 7_095),
        (labour, paper),
    )


def _picture() -> RangeFigure:
    """A bell with a long right tail, as costs have: the density of a lognormal about $2,600 with spread 0.17."""
    edges = np.linspace(160_000, 460_000, 41)
    middles = (edges[:-1] + edges[1:]) / 2
    counts = np.exp(-0.5 * (np.log(middles / 260_000) / 0.17) ** 2) / middles
    quantile = dict(zip((10, 50, 80, 90), 260_000 * np.exp(0.17 * np.array([-1.2816, 0, 0.8416, 1.2816])), strict=True))
    marks = (
        Mark("1 in 10", quantile[10], "Cost stays under this one time in ten"),
        Mark("half", quantile[50], "Cost stays under this one time in two"),
        Mark("8 in 10", quantile[80], "Cost stays under this eight times in ten"),
        Mark("9 in 10", quantile[90], "Cost stays under this nine times in ten"),
        Mark("price", 375_000, "Price asked", kind="price"),
    )
    return range_figure("specimen", "What the job may cost", Histogram(edges, counts), marks, _whole_money)


def _views() -> tuple[Drawn, Drawn, Drawn]:
    """A trestle of a board on two legs, 60 × 20 × 30 in, as three views."""
    long, deep, high, thick, leg = (units.inches(size) for size in (60, 20, 30, 2, 4))
    places = ((0, 0, high - thick), (leg, 0, 0), (long - 2 * leg, 0, 0))
    sizes = ((long, deep, thick), (leg, deep, high - thick), (leg, deep, high - thick))
    boxes = tuple(
        Box(label, *box) for label, box in zip(("Top", "Leg", "Leg"), zip(places, sizes, strict=True), strict=True)
    )
    holes = tuple(Hole(units.inches(6 + 12 * n), units.inches(4), units.inches("3/4")) for n in range(5))
    between = Marked("front", upright=False, start_nm=2 * leg, end_nm=long - 2 * leg)
    return draw(Made((), (long, deep, high), boxes, holes, (between,), {}))


def _whole_money(cents: float) -> str:
    """Whole dollars: cents would only be noise on a guess."""
    return in_marks(units.format_money(100 * units.round_half_up(cents / 100), display().currency).removesuffix(".00"))


def _refusal() -> ErrorPage:
    problems = (
        Problem(3, "length", "read “about 76”, expected a length such as 76 1/2 or 1943 mm"),
        Problem(7, "qty", "read nothing, expected a whole number such as 4"),
    )
    return ErrorPage(
        422,
        "parts.csv: some places could not be read",
        "",
        "Nothing was taken. Mend these and send it again.",
        problems,
    )
