"""A project's log: its entries by day, correcting, splitting and removing them, quantities built, codes to print.

blueprint      the section itself
forms          the forms
pages          what the templates receive
routes         the list, adding, quantities, the sheet of codes
entry_routes   one entry: correcting, splitting, marking, removing
"""

from journal.web.log import entry_routes, routes
from journal.web.log.blueprint import bp

__all__ = ["bp", "entry_routes", "routes"]
