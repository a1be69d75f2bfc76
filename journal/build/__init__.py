"""What is to be built.

    parts       a finished piece, its faces and features
    formulas    a formula in named dimensions, worked out exactly
    design      a bench with named dimensions; design_file reads one (by _cells, each on its line of _lines),
                design_parts makes its parts and boxes (by _scope, with _advice where it cannot)
    drawing     a bench as three views
    features    what is bored, cut or fitted, read from a cell
    part_list   a table of parts, read loosely and refused precisely
    stock       what a yard sells: sizes, rough thicknesses, sheets
    milling     from a finished piece back to what is cut: strips, blanks, allowances
    gluing      glue lines, glue-ups, glue
    clamping    the fewest clampings that the glue, the clamps and the planer allow; _rules, and _check apart from it
    glue_plan   sections, clampings and openings of a whole commission
    spacers     joints left open between strips, and the blocks that keep them clear
    pressure    what the clamps press, against what is published
    finishing   area, coats, finish
    wood        density and weight
    moisture    what wood comes to in the air, and when a stack is ready
    movement    how far a width swells or shrinks
    handling    how something heavy is moved, and whether it goes through the door
    steps       the operations a commission takes, with their quantities
    routes      which machine does what to a part
    waits       rests, clamps and coats by the clock
    order       every step in order, with what it waits for; step is one of them, step_edits what the maker changed

Uses units, reference and working; nothing above.
"""
