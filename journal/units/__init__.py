"""Lengths, areas, volumes, masses, money and time: what is typed becomes an exact figure, a figure becomes text.

Inside the program a quantity has one unit, and its name says which:

    length    whole nanometres   length_nm       1/64 in = 396,875 nm and 0.01 mm = 10,000 nm are both exact
    area      square nanometres  face_nm2
    volume    cubic nanometres   solid_nm3       of wood
    liquid    millilitres        glue_ml         of glue and finish; float
    mass      kilograms          weight_kg       float
    money     whole minor units  price_cents     cents, or whole units where the currency has no smaller one
    time      whole seconds      logged_seconds  in logs; float minutes (dry_minutes) in estimates

    lengths.py  inches, feet and millimetres
    bulk.py     areas, volumes, masses, liquids
    money.py    currencies, amounts, shares, tax
    times.py    durations
    dates.py    days, in the order a shop writes them
    marks.py    the decimal mark and the first day of the week, likewise
    shown.py    all of it in the words of one shop
    exact.py    reading a number exactly and rounding it; the others stand on it
"""

from journal.units.bulk import (
    KG_PER_POUND,
    ML_PER_FLUID_OUNCE,
    ML_PER_GALLON,
    ML_PER_LITRE,
    ML_PER_QUART,
    NM2_PER_SQUARE_FOOT,
    NM2_PER_SQUARE_METRE,
    NM3_PER_BOARD_FOOT,
    NM3_PER_CUBIC_METRE,
    board_feet,
    cubic_metres,
    format_area,
    format_board_feet,
    format_liquid,
    format_mass,
    parse_liquid,
    square_feet,
)
from journal.units.dates import (
    MONTHS,
    DayForm,
    dated,
    format_day,
    format_day_of_year,
    format_month_day,
    format_weekday,
    weekday_name,
)
from journal.units.exact import round_half_up
from journal.units.lengths import (
    MAX_LENGTH_NM,
    NM_PER_FOOT,
    NM_PER_INCH,
    NM_PER_METRE,
    NM_PER_MM,
    System,
    feet,
    format_length,
    inches,
    mm,
    parse_length,
    parse_quarter,
    to_feet,
    to_inches,
    to_mm,
)
from journal.units.marks import THOUSANDS, Mark, WeekStart, marked, pointed, week_begin
from journal.units.money import Currency, currencies, currency, format_money, parse_money, percent_of, share
from journal.units.shown import IN_INCHES, Shown
from journal.units.times import format_hours, format_minutes, parse_duration

__all__ = [
    "IN_INCHES",
    "KG_PER_POUND",
    "MAX_LENGTH_NM",
    "ML_PER_FLUID_OUNCE",
    "ML_PER_GALLON",
    "ML_PER_LITRE",
    "ML_PER_QUART",
    "MONTHS",
    "NM2_PER_SQUARE_FOOT",
    "NM2_PER_SQUARE_METRE",
    "NM3_PER_BOARD_FOOT",
    "NM3_PER_CUBIC_METRE",
    "NM_PER_FOOT",
    "NM_PER_INCH",
    "NM_PER_METRE",
    "NM_PER_MM",
    "THOUSANDS",
    "Currency",
    "DayForm",
    "Mark",
    "Shown",
    "System",
    "WeekStart",
    "board_feet",
    "cubic_metres",
    "currencies",
    "currency",
    "dated",
    "feet",
    "format_area",
    "format_board_feet",
    "format_day",
    "format_day_of_year",
    "format_hours",
    "format_length",
    "format_liquid",
    "format_mass",
    "format_minutes",
    "format_money",
    "format_month_day",
    "format_weekday",
    "inches",
    "marked",
    "mm",
    "parse_duration",
    "parse_length",
    "parse_liquid",
    "parse_money",
    "parse_quarter",
    "percent_of",
    "pointed",
    "round_half_up",
    "share",
    "square_feet",
    "to_feet",
    "to_inches",
    "to_mm",
    "week_begin",
    "weekday_name",
]
