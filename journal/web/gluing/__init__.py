"""The glue-up clock of a project: choosing a glue-up, its countdown, what was used.

blueprint   the section itself
forms       the forms
face        what a running clock shows
routes      the list, the clock, what it is told
"""

from journal.web.gluing import routes
from journal.web.gluing.blueprint import bp

__all__ = ["bp", "routes"]
