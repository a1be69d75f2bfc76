"""Who may open the pages. On this computer alone: everybody at it. From the shop's network: browsers that were let in.

backoff    how long to wait after wrong passphrases
guard      looks at every request before any page does
forms      the forms
routes     signing in, pairing, and who is in
"""

from journal.web.access import routes
from journal.web.access.blueprint import bp

__all__ = ["bp", "routes"]
