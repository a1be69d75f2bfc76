"""Few requests at work at a time, however many are at the door.

Python lets one thread run at once. A request sends some thirty small statements, and after each of them has to wait until
the others let it run again: eight of them together took five times as long as one after another. So a few work, the others
stand in line. A slow phone sends its photo before it takes a place, so that it holds nobody up.
"""

from __future__ import annotations

import io
from threading import Semaphore
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from wsgiref.types import StartResponse, WSGIApplication, WSGIEnvironment

AT_WORK = 3  # one that takes long leaves two for the taps


class FewAtOnce:
    """An application of which at most `most` requests are worked on at a time.

    Args:
        app: the application.
        most: how many.
        largest: bytes of a body that are read before its place is taken; a larger one is left for the app to refuse.
    """

    def __init__(self, app: WSGIApplication, *, most: int = AT_WORK, largest: int) -> None:
        self._app = app
        self._places = Semaphore(most)
        self._largest = largest

    def __call__(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        length = environ.get("CONTENT_LENGTH") or ""
        if length.isdecimal() and 0 < int(length) <= self._largest:
            environ["wsgi.input"] = io.BytesIO(environ["wsgi.input"].read(int(length)))
        with self._places:
            return self._app(environ, start_response)
