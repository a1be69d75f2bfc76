"""Back to the page a form came from."""

from flask import request
from werkzeug.utils import redirect
from werkzeug.wrappers import Response

_LONGEST = 500


def go_back(otherwise: str, code: int = 303) -> Response:
    """To the page a form came from, if it named one of ours; else elsewhere."""
    path = request.form.get("back", "")
    ours = path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable() and len(path) < _LONGEST
    return redirect(path if ours else otherwise, code=code)
