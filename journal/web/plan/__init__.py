"""Plan: how a project is built here.

blueprint      the section itself
forms          the forms
pages          what the templates receive
drying_view    the drying of a stack, drawn
routes         the plan, with what is tried on it
step_routes    a step changed, a change taken back
stack_routes   the stack and its moisture readings
packet_routes  the packet for the shop floor, on paper
"""

from journal.web.plan import packet_routes, routes, stack_routes, step_routes
from journal.web.plan.blueprint import bp

__all__ = ["bp", "packet_routes", "routes", "stack_routes", "step_routes"]
