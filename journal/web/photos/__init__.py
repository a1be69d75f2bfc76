"""Photos: the pictures themselves, those of a receipt, taking one down and putting it back."""

from journal.web.photos import file_routes, routes
from journal.web.photos.blueprint import bp

__all__ = ["bp", "file_routes", "routes"]
