"""The pictures themselves: found by their checksum, so kept by the browser for as long as it likes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Response, request
from werkzeug.exceptions import NotFound

from journal.records import photo_files
from journal.web.photo_field import data_folder
from journal.web.photos.blueprint import bp

if TYPE_CHECKING:
    from pathlib import Path

    from flask.typing import ResponseReturnValue

_YEAR = 365 * 24 * 3600  # seconds


@bp.get("/photos/<digest:sha256>.jpg")
def large_file(sha256: str) -> ResponseReturnValue:
    """A photo."""
    return _sent(photo_files.large_path(data_folder(), sha256))


@bp.get("/photos/<digest:sha256>.small.jpg")
def small_file(sha256: str) -> ResponseReturnValue:
    """A photo as lists show it; the large one where the small one is missing."""
    small = photo_files.small_path(data_folder(), sha256)
    return _sent(small if small.is_file() else photo_files.large_path(data_folder(), sha256))


def _sent(path: Path) -> ResponseReturnValue:
    """Read whole: a photo as it is kept is some hundred kilobytes, and no file then stays open."""
    try:
        answer = Response(path.read_bytes(), mimetype="image/jpeg")
    except FileNotFoundError:
        raise NotFound from None
    answer.headers["Cache-Control"] = f"private, max-age={_YEAR}, immutable"
    answer.set_etag(path.stem)
    return answer.make_conditional(request)
