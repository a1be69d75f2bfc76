"""Shop: the shop's own data, its rate, its people, its allowances, its machines.

blueprint        the section itself, and its tabs
routes           money and habits, allowances, machines
forms, pages     their forms, and what they show
rate_routes      the shop's rate from its year, a machine's from what it costs
people_routes    places at the benches and their wages
rate_forms       the forms of both
backup_routes    backups: listed, made, taken along
hours_routes     open hours, days off, places, what hardware takes; hours_forms their forms
"""

from journal.web.shop import backup_routes, hours_routes, people_routes, rate_routes, routes
from journal.web.shop.blueprint import bp

__all__ = ["backup_routes", "bp", "hours_routes", "people_routes", "rate_routes", "routes"]
