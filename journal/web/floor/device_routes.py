"""A browser's queue of taps: pairing it, taking its taps in, and the worker that opens the floor without signal.

Taps are sent with the device's own token in a header rather than with a form's mark, because a queue may be older than
any form. What protects them: a page elsewhere can neither read the token nor set that header without being asked for it
first (and this server answers no such question); the request must say it is JSON; and it must come from this origin.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from flask import Response, abort, jsonify, request

from journal.desk import taps
from journal.web import assets, late, state
from journal.web.floor.blueprint import bp

if TYPE_CHECKING:
    from flask.blueprints import BlueprintSetupState
    from flask.typing import ResponseReturnValue

TOKEN_HEADER = "X-Journal-Device"  # noqa: S105 - a header's name
WORKER = "worker/floor.js"
_LARGEST_BODY = 256 * 1024  # bytes; five hundred taps are about 80 kB, a form without a note about 1 kB


@bp.post("/device")
def device() -> ResponseReturnValue:
    """Pair this browser; guarded like every form."""
    with state.writing() as session:
        token = taps.pair(session, request.form.get("uid", ""), request.form.get("label", ""), now=state.now())
    answer = jsonify(token=token)
    answer.headers["Cache-Control"] = "no-store"
    return answer


@bp.post("/taps")
def take_taps() -> ResponseReturnValue:
    """Take in a device's waiting taps and forms; each is answered for itself."""
    if not request.is_json or not _from_here():
        abort(403)
    if (request.content_length or 0) > _LARGEST_BODY:
        abort(413)
    try:
        body = request.get_json(silent=True)
    except RecursionError:  # brackets thousands deep
        body = None
    sent = body.get("taps") if isinstance(body, dict) else None
    if not isinstance(sent, list):
        abort(400)
    with state.writing() as session:
        device = taps.device_of(session, request.headers.get(TOKEN_HEADER, ""))
        if device is None:
            abort(401)
        forms = partial(late.take, session)
        answers = taps.take(session, device, sent, zone=state.zone(), now=state.now(), forms=forms)
    return jsonify(answers=[{"sequence": one.sequence, "state": one.state, "why": one.why} for one in answers])


@bp.get("/worker.js")
def worker() -> ResponseReturnValue:
    """The script that answers for the pages of the floor while there is no signal; browsers run it over HTTPS and on this computer only."""
    answer = Response((assets.FOLDER / WORKER).read_bytes(), mimetype="text/javascript")
    answer.headers["Service-Worker-Allowed"] = "/"
    answer.headers["Cache-Control"] = "no-cache"
    return answer


def _from_here() -> bool:
    """Whether the browser says that one of our own pages sent this; every browser says so for a POST."""
    site = request.headers.get("Sec-Fetch-Site")
    origin = request.headers.get("Origin")
    if site is not None and site != "same-origin":
        return False
    return origin is None or urlsplit(origin).netloc == request.host


def _exempt(setup: BlueprintSetupState) -> None:
    setup.app.extensions["csrf"].exempt(take_taps)


bp.record_once(_exempt)
