"""The section itself; the routes hang on it."""

import secrets

from flask import Blueprint

from journal.web import state

bp = Blueprint("floor", __name__, url_prefix="/floor", template_folder="templates")


@bp.app_template_global()
def form_key() -> str:
    """A key for one form about the log, so that sending it twice does it once."""
    return secrets.token_urlsafe(16)


@bp.app_template_global()
def moment_now() -> str:
    """When the page was made, for one that is shown again without signal."""
    return state.now().isoformat()
