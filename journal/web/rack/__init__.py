"""Rack: what lies there, receipts, stock-takes.

blueprint        the section itself
forms            the forms
receipt_form     a receipt as it is typed, line by line
pages            what the templates receive
routes           the rack, boards added, what was done last
board_routes     one board: planned, drawn, noted, written off
count_routes     the stock-take
purchase_routes  receipts
shelf_routes     one thing on the shelf
"""

from journal.web.rack import board_routes, count_routes, purchase_routes, routes, shelf_routes
from journal.web.rack.blueprint import bp

__all__ = ["board_routes", "bp", "count_routes", "purchase_routes", "routes", "shelf_routes"]
