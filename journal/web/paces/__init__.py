"""Paces: what the logs taught, what is behind one operation, and the past jobs that came from a spreadsheet.

blueprint         the section itself
bars, points      geometry of the drawings
routes, pages     all operations
operation_*       one operation: its logs over time, each set aside or learned from again
import_*          a spreadsheet of past jobs: sent, looked at, taken, taken back
forms             the forms of them all
"""

from journal.web.paces import import_routes, operation_routes, routes
from journal.web.paces.blueprint import bp

__all__ = ["bp", "import_routes", "operation_routes", "routes"]
