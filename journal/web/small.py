"""Answers sent small: text is packed for whoever can unpack it, which on a phone at the far end of the shop is felt.

Packed beside what a stranger's page sends in, a form's token could be guessed from the length. No such request brings the
cookie (SameSite=Lax), so there is no token in the answer to it.
"""

from __future__ import annotations

import gzip
from typing import TYPE_CHECKING

from flask import request

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response

LEAST = 1_000  # bytes; less fits into one packet either way
LEVEL = 5  # 100 kB of page: a seventh left after 2 ms; level 9 takes twice as long and leaves 2% less
_TEXT = ("text/", "application/javascript", "application/json", "image/svg+xml")


def setup(app: Flask) -> None:
    app.after_request(_send_small)


def _send_small(response: Response) -> Response:
    if not _worth_packing(response):
        return response
    response.vary.add("Accept-Encoding")
    if request.accept_encodings["gzip"] <= 0:
        return response
    response.direct_passthrough = False
    response.set_data(gzip.compress(response.get_data(), LEVEL, mtime=0))
    response.headers["Content-Encoding"] = "gzip"
    tag, _ = response.get_etag()
    if tag:  # other bytes than those the tag was made of; the same text
        response.set_etag(tag, weak=True)
    return response


def _worth_packing(response: Response) -> bool:
    """Text of a whole answer that is long enough, and not packed already or made up while it is sent."""
    whole = response.status_code not in {204, 206, 304} and "Content-Encoding" not in response.headers
    if not whole or not (response.mimetype or "").startswith(_TEXT):
        return False
    known = response.calculate_content_length() if response.is_sequence else response.content_length
    return (known or 0) >= LEAST
