"""The section itself, and the searches that run beside its pages."""

from __future__ import annotations

from threading import Lock
from typing import cast

from flask import Blueprint, current_app

from journal.desk.jobs import Jobs
from journal.web import state
from journal.web.photo_field import allow_photos

KEY = "searches"
_lock = Lock()

bp = Blueprint("buying", __name__, url_prefix="/projects", template_folder="templates")

allow_photos(bp, "buy_yard_send")


def jobs() -> Jobs:
    """The searches of this journal; the same for every request."""
    with _lock:
        return cast("Jobs", current_app.extensions.setdefault(KEY, Jobs(state.engine())))
