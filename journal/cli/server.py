"""The web server behind `serve` and `demo`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cheroot.wsgi import Server

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask import Flask

THREADS = 8


def run(app: Flask, host: str, port: int, *, started: Callable[[str], None]) -> None:
    """Serve until interrupted.

    Raises:
        BadInput: when the address is taken or not this computer's.
    """
    server = Server((host, port), app, numthreads=THREADS, server_name="journal")
    try:
        server.prepare()
    except OSError as refused:
        expected = f"one that no other program uses, on an address of this computer; try --port {port + 1}"
        raise BadInput(f"port on {host}", port, expected) from refused
    shown = f"[{host}]" if ":" in host else host
    started(f"http://{shown}:{port}")
    try:
        server.serve()
    except KeyboardInterrupt:
        pass  # the way to stop it
    finally:
        server.stop()
