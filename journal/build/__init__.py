"""What is to be built.

    parts       a finished piece, its faces and features
    features    what is bored, cut or fitted, read from a cell
    part_list   a table of parts, read loosely and refused precisely
    stock       what a yard sells: sizes, rough thicknesses, sheets
    milling     from a finished piece back to what is cut: strips, blanks, allowances
    gluing      glue lines, glue-ups, glue
    finishing   area, coats, finish
    wood        density and weight
    steps       the operations a commission takes, with their quantities

Uses units, reference and working; nothing above.
"""
