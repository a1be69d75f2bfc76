"""Review: a job held against what was promised of it, and closed.

blueprint       the section itself
routes          the page and its pieces
act_routes      lessons, loose ends, closing
pages           what the templates receive
materials_view  waste, leftovers, prices, glue and finish in words
because         the largest causes, in a clause
aside           boxes by which a surprise is set aside
steps           geometry of where the money went
forms           the boxes
"""

from journal.web.review import act_routes, routes
from journal.web.review.blueprint import bp

__all__ = ["act_routes", "bp", "routes"]
