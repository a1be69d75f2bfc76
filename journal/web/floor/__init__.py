"""The clock: taps from the page itself, from a device's queue, and from a printed code.

blueprint      the section itself
tap_routes     a tap of a plain form; who is at the bench; choosing what to start
device_routes  a browser paired, its queue taken in, the worker that reloads Today without signal
mend_routes    a change taken back, a refused tap seen
"""

from journal.web.floor import device_routes, mend_routes, tap_routes
from journal.web.floor.blueprint import bp

__all__ = ["bp", "device_routes", "mend_routes", "tap_routes"]
