"""What is printed: drawings laid out once, for the page and for the sheet of paper alike.

    cut_sheet   where everything stands on the drawing of a board, and the lists beside it
    svg         such a drawing as SVG text
    print       the cut sheet as a PDF, through cut_sheet.typ

May ask the desk for values, never a page. Letters, not colours, tell things apart: a saw shed prints in black.
"""
