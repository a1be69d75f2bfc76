"""Sheets that were sent and not yet taken: kept in the data folder under a random name, for a day.

A sheet is kept as read, not as sent, so that looking at it again is quick. Its name is made here and only here; what comes
in with a request is looked up by form, never used as a path.
"""

from __future__ import annotations

import json
import re
import secrets
import time
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from journal.errors import MissingReference
from journal.pace.columns import Choices, as_values, from_values
from journal.pace.sheet import Sheet

if TYPE_CHECKING:
    from pathlib import Path

FOLDER = "incoming"
KEPT_SECONDS = 86_400
MOST_KEPT = 20
_TOKEN = re.compile(r"[A-Za-z0-9_-]{32}")


@dataclass(frozen=True, slots=True)
class Incoming:
    """A sheet on its way in, with the digest of what was sent and how it is to be read."""

    token: str
    sheet: Sheet
    sha256: str
    choices: Choices


def keep(data: Path, sheet: Sheet, sha256: str, choices: Choices) -> str:
    """Keep a sheet; answers the name it is found by."""
    folder = data / FOLDER
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    _sweep(folder)
    token = secrets.token_urlsafe(24)
    kept = {"name": sheet.name, "heads": sheet.heads, "lines": sheet.lines, "rows": sheet.rows, "notes": sheet.notes}
    _write(folder / f"{token}.sheet", json.dumps({**kept, "sha256": sha256}, ensure_ascii=False))
    _write(folder / f"{token}.choices", json.dumps(as_values(choices), ensure_ascii=False))
    return token


def get(data: Path, token: str) -> Incoming:
    """A sheet that is kept.

    Raises:
        MissingReference: there is none under this name: taken, dropped or a day old.
    """
    path = _path(data, token)
    try:
        sheet, sha256 = _sheet(path, path.stat().st_mtime_ns)
        choices = from_values(json.loads(path.with_suffix(".choices").read_text(encoding="utf-8")))
    except FileNotFoundError:
        raise MissingReference("sheet waiting", token, ()) from None
    return Incoming(token, sheet, sha256, choices)


def choose(data: Path, token: str, choices: Choices) -> None:
    """Keep how a sheet is to be read."""
    path = _path(data, token)
    if not path.exists():
        raise MissingReference("sheet waiting", token, ())
    _write(path.with_suffix(".choices"), json.dumps(as_values(choices), ensure_ascii=False))


def drop(data: Path, token: str) -> None:
    """Forget a sheet; nothing to do when it is gone."""
    path = _path(data, token)
    for one in (path, path.with_suffix(".choices")):
        one.unlink(missing_ok=True)


def _path(data: Path, token: str) -> Path:
    if not _TOKEN.fullmatch(token):
        raise MissingReference("sheet waiting", token, ())
    path = data / FOLDER / f"{token}.sheet"
    if path.exists() and time.time() - path.stat().st_mtime > KEPT_SECONDS:
        path.unlink(missing_ok=True)
        path.with_suffix(".choices").unlink(missing_ok=True)
    return path


@lru_cache(maxsize=2)
def _sheet(path: Path, _modified_ns: int) -> tuple[Sheet, str]:
    kept = json.loads(path.read_text(encoding="utf-8"))
    rows = tuple(tuple(row) for row in kept["rows"])
    sheet = Sheet(kept["name"], tuple(kept["heads"]), tuple(kept["lines"]), rows, tuple(kept["notes"]))
    return sheet, kept["sha256"]


def _write(path: Path, text: str) -> None:
    """Whole or not at all, readable by the owner alone."""
    unfinished = path.with_name(f"{path.name}.part")
    unfinished.touch(mode=0o600)
    unfinished.write_text(text, encoding="utf-8")
    unfinished.replace(path)


def _sweep(folder: Path) -> None:
    """What nobody came back for: a day old, or more than are worth keeping."""
    newest = sorted(folder.glob("*.sheet"), key=lambda path: path.stat().st_mtime, reverse=True)
    for place, path in enumerate(newest):
        if place >= MOST_KEPT - 1 or time.time() - path.stat().st_mtime > KEPT_SECONDS:
            path.unlink(missing_ok=True)
            path.with_suffix(".choices").unlink(missing_ok=True)
