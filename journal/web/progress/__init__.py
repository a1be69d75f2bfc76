"""Ahead: where a project in build will end up.

blueprint   the section itself
routes      the page, and its course as a piece of its own
pages       what the templates receive
course      geometry of how the forecast moved
"""

from journal.web.progress import routes
from journal.web.progress.blueprint import bp

__all__ = ["bp", "routes"]
