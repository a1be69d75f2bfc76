"""Designs: the shelf, a design to try out, the editor, the ballpark.

routes      the shelf and a design tried out; begun or put into a project
own         the shop's own designs: copied, written, taken in, put away
ballpark    length, depth, wood; a price and hours
forms       the forms, one of them made from a design's parameters
pages       what the templates receive
"""

from journal.web.designs import ballpark, own, routes
from journal.web.designs.blueprint import bp

__all__ = ["ballpark", "bp", "own", "routes"]
