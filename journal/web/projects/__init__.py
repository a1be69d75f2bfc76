"""Projects: the list, a project's particulars, its Parts and its Price.

blueprint      the section itself
list_routes    the list
routes         begin and change a project
part_cells     a part list as boxes to fill in, and back
part_routes    the Parts tab
price_forms    a price to try, an estimate to keep
asked          what a price means to the shop and to the client
price_view     an estimate as the Price tab shows it
kept_view      an estimate that was kept, from its stored text
price_routes   the Price tab
forms          the forms of them all
"""

from journal.web.projects import list_routes, part_routes, price_routes, routes
from journal.web.projects.blueprint import bp

__all__ = ["bp", "list_routes", "part_routes", "price_routes", "routes"]
