"""Welcome: six questions to a new shop, then the ways to begin."""

from journal.web.welcome.blueprint import bp
from journal.web.welcome.routes import is_new

__all__ = ["bp", "is_new"]
