"""What is printed: drawings laid out once, for the page and for the sheet of paper alike.

    cut_sheet   where everything stands on the drawing of a board, and the lists beside it
    svg         such a drawing as SVG text
    print       the cut sheet as a PDF, through cut_sheet.typ
    quote       a quote and a receipt as they read, line by line
    quote_print the same as PDF, through quote.typ and receipt.typ
    glue_sheet  the glue-ups, each with its minutes against what the glue gives
    step_sheet  the steps of a plan in groups
    packet      the packet for the shop floor, through packet.typ
    press       data and a source into a PDF

May ask the desk for values, never a page. Letters, not colours, tell things apart: a saw shed prints in black.
"""
