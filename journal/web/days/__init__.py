"""Days: when a project will be done, and what decides it.

blueprint      the section itself
forms          the day it starts, what the client brings, how likely it is
pages          what the templates receive
chain_words    the chain that decides the finish, in words
weeks          the plan week by week
picture        the plan as bars, day by day
calendar_file  the plan for a calendar program
routes         the page and its forms
"""

from journal.web.days import routes
from journal.web.days.blueprint import bp

__all__ = ["bp", "routes"]
