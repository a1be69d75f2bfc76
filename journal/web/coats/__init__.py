"""Coats of finish as they went on: the list, a new one, putting one right.

blueprint   the section itself
forms       the form of a coat
routes      the list, adding, correcting, taking out
"""

from journal.web.coats import routes
from journal.web.coats.blueprint import bp

__all__ = ["bp", "routes"]
