"""Notes of a project, and the search over all that was ever written down.

blueprint      the section itself
forms          a note, and what is looked for
pages          what the templates receive
routes         a project's notes: the list, a new one, one changed, taken out, put back
search_routes  the search
"""

from journal.web.notes import routes, search_routes
from journal.web.notes.blueprint import bp

__all__ = ["bp", "routes", "search_routes"]
