"""Buy: what a project still has to buy, at the yard, how the boards are cut.

blueprint   the section itself, and its searches
forms       the forms
pages       what the templates receive
yard        the boxes of the page at the yard, and back
routes      the list, the plans, the searches
yard_routes at the yard
cut_routes  the cut sheet, on the page and on paper
after_form  the boxes of the page for after cutting, and back
after_routes boards of the rack drawn; what is left, and what became of receipts
"""

from journal.web.buying import after_routes, cut_routes, routes, yard_routes
from journal.web.buying.blueprint import bp

__all__ = ["after_routes", "bp", "cut_routes", "routes", "yard_routes"]
