"""Options: variants of one enquiry side by side, and one of them made the project.

blueprint    the section itself
forms        what an option makes other, as boxes
pages        what the templates receive
routes       the pages and the errands
"""

from journal.web.options import routes
from journal.web.options.blueprint import bp

__all__ = ["bp", "routes"]
