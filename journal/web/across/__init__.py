"""Across jobs: where this shop makes and loses money."""

from journal.web.across.routes import bp

__all__ = ["bp"]
