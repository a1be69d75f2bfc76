"""The web server behind `serve` and `demo`."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from cheroot.wsgi import Server

from journal.cli.few_at_once import FewAtOnce
from journal.errors import BadInput
from journal.web.config import LARGEST_REQUEST
from journal.web.memory import large_apart, settled

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask import Flask

    from journal.cli.certificate import Certificate

THREADS = 8  # that talk with browsers; fewer work (FewAtOnce)
SWITCH_SECONDS = 0.001  # a fifth of Python's own: a tap has done with its next statement sooner than that
WAITING = 128  # at the door; with cheroot's five, of twenty phones that tap at once some are turned away
PATIENCE_SECONDS = 30  # for a phone whose turn has not come yet: all of them wait behind a page that takes long


def server_of(app: Flask, host: str, port: int) -> Server:
    """The server of an application, before it listens; port 0 takes any that is free."""
    return Server(
        (host, port),
        FewAtOnce(app, largest=LARGEST_REQUEST),
        numthreads=THREADS,
        server_name="journal",
        request_queue_size=WAITING,
        timeout=PATIENCE_SECONDS,
    )


def run(
    app: Flask,
    host: str,
    port: int,
    *,
    started: Callable[[str], None],
    certificate: Certificate | None = None,
    shown_as: str = "",
) -> None:
    """Serve until interrupted, over HTTPS where there is a certificate; `shown_as` is the name to open it under.

    Raises:
        BadInput: when the address is taken or not this computer's.
    """
    large_apart()
    sys.setswitchinterval(SWITCH_SECONDS)
    server = server_of(app, host, port)
    if certificate is not None:
        from cheroot.ssl.builtin import BuiltinSSLAdapter

        server.ssl_adapter = BuiltinSSLAdapter(str(certificate.certificate), str(certificate.key))
    try:
        server.prepare()
    except OSError as refused:
        expected = f"one that no other program uses, on an address of this computer; try --port {port + 1}"
        raise BadInput(f"port on {host}", port, expected) from refused
    shown = shown_as or (f"[{host}]" if ":" in host else host)
    settled()
    started(f"{'https' if certificate else 'http'}://{shown}:{port}")
    try:
        server.serve()
    except KeyboardInterrupt:
        pass  # the way to stop it
    finally:
        server.stop()
