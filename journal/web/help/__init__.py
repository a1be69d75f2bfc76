"""Help: what a figure or a box means, in two sentences, and the words of the trade as they are used here."""

from journal.web.help.routes import bp, setup

__all__ = ["bp", "setup"]
