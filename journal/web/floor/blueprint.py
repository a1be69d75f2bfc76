"""The section itself; the routes hang on it."""

import secrets

from flask import Blueprint, request
from werkzeug.utils import redirect
from werkzeug.wrappers import Response

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


def go_back(otherwise: str) -> Response:
    """To the page a form came from, if it named one of ours; else elsewhere."""
    path = request.form.get("back", "")
    ours = path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable() and len(path) < 500
    return redirect(path if ours else otherwise, code=303)
