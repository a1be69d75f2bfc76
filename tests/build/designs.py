"""A small design that a person can work out by hand, and values for any design."""

from functools import cache

from hypothesis import strategies as st
from journal import units
from journal.build.design import Kind
from journal.build.design_file import read_design
from journal.places import folder

STOOL = """\
format = "bench design 1"
word = "stool"
title = "Stool"
about = "A board on legs."
units = "inch"

[parameters]
wood = { label = "Wood", kind = "wood" }
length = { label = "Length", default = "60", low = "20", high = "96" }
height = { label = "Height", default = "30", low = "10", high = "40" }
legs = { label = "Legs", kind = "count", default = "2", low = "0", high = "4" }
stretcher = { label = "Stretcher", kind = "yes/no", default = "no" }
panel = { label = "Panel", kind = "choice", options = ["3/4 plywood", "3/4 MDF"] }

[worked]
thick = "2"
leg = "height - thick"

[outer]
length = "length"
depth = 12
height = "height"

[[parts]]
label = "Top"
qty = 1
thickness = "thick"
width = "12"
length = "length"
stock = "{wood}"
along = "width"
features = { hole = "3", groove = "length - 6", screw = "0" }
at = { x = "0", y = "0", z = "leg", as = "length width thickness" }
holes = { x = "6 + n*12", y = "6", across = "3/4", count = "3" }

[[parts]]
label = "Legs"
qty = "legs"
thickness = "1 1/4"
width = "10"
length = "leg"
stock = "2x12"
at = { x = "4 + n*(length - 9.25)", y = "1", z = "0", as = "thickness width length" }

[[parts]]
label = "Stretcher"
when = "stretcher"
qty = 1
thickness = "3/4"
width = "4"
length = "length/3"
stock = "{panel}"
at = { x = "5", y = "4", z = "6", as = "length width thickness" }

[[measures]]
view = "front"
up = "leg | height"
"""


def stool(*changes):
    """The stool, each change an (old, new) pair of its text."""
    text = STOOL
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return read_design(text)


@cache
def shipped():
    """Every design that comes with the program, by its word."""
    texts = [path.read_text(encoding="utf-8") for path in sorted((folder("shared") / "designs").glob("*.toml"))]
    return {design.word: design for design in map(read_design, texts)}


def at_end(design, end):
    """A design's smallest or largest choices; every choice of words at its first or last."""
    chosen = {}
    for parameter in design.parameters:
        if parameter.kind in (Kind.LENGTH, Kind.COUNT):
            chosen[parameter.word] = getattr(parameter, end)
        elif parameter.kind is Kind.YES_NO:
            chosen[parameter.word] = end == "high"
        elif parameter.kind is Kind.CHOICE:
            chosen[parameter.word] = parameter.options[0 if end == "low" else -1]
    return chosen


def choices(design, woods=("",)):
    """Any choices within a design's limits; lengths to 1/16 in, with the ends themselves."""
    least = units.inches("1/16")

    def one(parameter):
        if parameter.kind is Kind.LENGTH:
            steps = st.integers(0, (parameter.high - parameter.low) // least)
            return st.sampled_from((parameter.low, parameter.high)) | steps.map(lambda k: parameter.low + k * least)
        if parameter.kind is Kind.COUNT:
            return st.integers(parameter.low, parameter.high)
        if parameter.kind is Kind.YES_NO:
            return st.booleans()
        return st.sampled_from(woods if parameter.kind is Kind.WOOD else parameter.options)

    return st.fixed_dictionaries({parameter.word: one(parameter) for parameter in design.parameters})
