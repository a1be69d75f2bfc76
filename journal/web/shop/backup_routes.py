"""Backups: which there are, one more now, and taking one along."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, send_file, url_for
from werkzeug.exceptions import NotFound

from journal.records.keeping import backup as keeping
from journal.web import forms, state
from journal.web.nav import shop_tabs
from journal.web.shop.blueprint import bp

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from flask.typing import ResponseReturnValue

    from journal.web.nav import Link

_REASONS = {"daily": "made by itself", "asked": "asked for"}
_MOST = 60


class BackupForm(forms.JournalForm):
    """Nothing but the button."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A backup in the list; `megabytes` to a tenth."""

    name: str
    made_at: datetime
    reason: str
    megabytes: float


@dataclass(frozen=True, slots=True)
class BackupPage:
    """What shop/backup.html receives: the tabs of the section, the backups newest first, where they are, the button."""

    tabs: tuple[Link, ...]
    kept: tuple[Kept, ...]
    folder: str
    form: BackupForm


@bp.get("/backup")
def backup() -> ResponseReturnValue:
    """The backups there are."""
    folder = _folder()
    kept = tuple(_kept(path) for path in keeping.listed(folder)[:_MOST])
    return render_template("shop/backup.html", page=BackupPage(shop_tabs(), kept, str(folder), BackupForm()))


@bp.post("/backup")
def backup_make() -> ResponseReturnValue:
    """Make one more, now."""
    if not BackupForm().validate_on_submit():
        raise NotFound
    made = keeping.make(state.engine(), _folder().parent, now=state.now())
    flash(f"{made.path.name} is made; it was opened again and is whole.", "good")
    return redirect(url_for("shop.backup"))


@bp.get("/backup/<name>")
def backup_file(name: str) -> ResponseReturnValue:
    """One of them, to be kept elsewhere."""
    # The name is only compared with those in the folder: no path is made of what was asked for.
    found = next((path for path in keeping.listed(_folder()) if path.name == name), None)
    if found is None:
        raise NotFound
    return send_file(found, mimetype="application/zip", as_attachment=True, download_name=found.name)


def _folder() -> Path:
    data = state.journal().settings.data
    if data is None:
        raise NotFound
    return data / keeping.FOLDER


def _kept(path: Path) -> Kept:
    reason = keeping.reason_of(path)
    megabytes = round(path.stat().st_size / 1e6, 1)
    return Kept(path.name, keeping.made_at(path).astimezone(state.zone()), _REASONS.get(reason, reason), megabytes)
