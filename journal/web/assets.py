"""Stylesheets and scripts: which every page loads, each addressed by its content so that it may be kept for ever."""

from __future__ import annotations

from functools import lru_cache
from hashlib import blake2b
from pathlib import Path
from typing import TYPE_CHECKING, Any

from flask import request

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response

FOLDER = Path(__file__).parent / "static"
_YEAR = 365 * 24 * 3600  # seconds


def setup(app: Flask) -> None:
    app.url_defaults(_add_version)
    app.after_request(_keep_versioned)
    app.jinja_env.globals.update(stylesheets=stylesheets(), scripts=scripts())


def stylesheets() -> tuple[str, ...]:
    """From generic to specific; a page adds its own css/pages/<section>.css after these."""
    components = sorted(path.name for path in (FOLDER / "css/components").glob("*.css"))
    return (
        "css/tokens.css",
        "css/base.css",
        "css/layout.css",
        *(f"css/components/{name}" for name in components),
        "css/print.css",
    )


def scripts() -> tuple[str, ...]:
    """Small modules, each finding its own markup by data- attributes; theme.js runs earlier, in the head."""
    return tuple(f"js/{path.name}" for path in sorted((FOLDER / "js").glob("*.js")) if path.name != "theme.js")


def version(filename: str) -> str | None:
    """A short hash of a static file's content; None when there is no such file."""
    path = FOLDER / filename
    try:
        return _hash(path, path.stat().st_mtime_ns)
    except (FileNotFoundError, NotADirectoryError):
        return None


@lru_cache(maxsize=256)
def _hash(path: Path, _modified_ns: int) -> str:
    return blake2b(path.read_bytes(), digest_size=6).hexdigest()


def _add_version(endpoint: str, values: dict[str, Any]) -> None:
    if endpoint == "static" and "v" not in values:
        values["v"] = version(values["filename"])


def _keep_versioned(response: Response) -> Response:
    """Only the address that names the content now served may be kept; any other is asked for again."""
    if request.endpoint == "static" and response.status_code in {200, 304}:
        asked = request.args.get("v")
        same = asked is not None and asked == version((request.view_args or {})["filename"])
        response.headers["Cache-Control"] = f"public, max-age={_YEAR}, immutable" if same else "no-cache"
    return response
