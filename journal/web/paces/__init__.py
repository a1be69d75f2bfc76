"""Paces: what the logs taught, what is behind one operation, and the past jobs that came from a spreadsheet.

blueprint         the section itself
bars, points      geometry of the drawings
routes, pages     all operations
operation_*       one operation: its logs over time, each set aside or learned from again
guess_*           how well the paces would have guessed past projects
import_*          a spreadsheet of past jobs: sent, looked at, taken, taken back
missing_*         quantities nobody has said, asked for once
own_*             operations of the shop's own, which the book does not know
level_*, ratio_*  the shop's level over the years; what the logs teach beside the paces
forms             the forms of them all
"""

from journal.web.paces import guess_routes, import_routes, missing_routes, operation_routes, own_routes, routes
from journal.web.paces.blueprint import bp

__all__ = ["bp", "guess_routes", "import_routes", "missing_routes", "operation_routes", "own_routes", "routes"]
