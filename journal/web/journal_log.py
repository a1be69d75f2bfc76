"""What the pages write about themselves: one file in the data folder that is turned over, without anything typed in it.

Each request has a number of its own. It stands in every line written while it is answered, and on the page that says
that something went wrong, so that the two can be put together.
"""

from __future__ import annotations

import logging
import secrets
from logging.handlers import RotatingFileHandler
from typing import TYPE_CHECKING

from flask import g, has_request_context
from flask.logging import default_handler

if TYPE_CHECKING:
    from pathlib import Path

    from flask import Flask

FILE_NAME = "journal.log"
_LARGEST = 1_000_000  # bytes
_KEPT = 5
_LINE = "%(asctime)s %(levelname)s %(request)s %(message)s"


def setup(app: Flask, folder: Path | None) -> None:
    """Number the requests, and write to the folder's file where there is a folder."""
    app.before_request(_number_request)
    if folder is not None and not app.testing:
        default_handler.setLevel(logging.WARNING)  # the terminal is told of troubles, not of each backup
        app.logger.addHandler(file_handler(folder))
        app.logger.setLevel(logging.INFO)


def request_number() -> str:
    """The number of the request being answered; empty outside one."""
    return str(g.get("request_number", "")) if has_request_context() else ""


def file_handler(folder: Path) -> RotatingFileHandler:
    """Writes to the folder's log, readable by its owner alone."""
    path = folder / FILE_NAME
    path.touch(mode=0o600)
    handler = RotatingFileHandler(path, maxBytes=_LARGEST, backupCount=_KEPT, encoding="utf-8", delay=True)
    handler.setFormatter(logging.Formatter(_LINE))
    handler.addFilter(_with_number)
    return handler


def _number_request() -> None:
    g.request_number = secrets.token_hex(4)


def _with_number(record: logging.LogRecord) -> bool:
    record.request = request_number() or "-"
    return True
