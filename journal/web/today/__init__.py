"""Today: what runs, what comes next, what waits; and the evening entry, of a day or of a week.

blueprint        the section itself
routes           the floor now, what is ahead, a clock that was forgotten
cells            the boxes of the evening entry, and back
lately_routes    what was done last, with its way back
evening_routes   a day told in the evening, a week told on Sunday
"""

from journal.web.today import evening_routes, lately_routes, routes
from journal.web.today.blueprint import bp

__all__ = ["bp", "evening_routes", "lately_routes", "routes"]
