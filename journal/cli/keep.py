"""The commands that keep the journal safe: backup, restore, export, import, check, move."""

from __future__ import annotations

import os
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import datetime

    from sqlalchemy import Engine

_FOLDER = click.Path(file_okay=False, path_type=Path)


def _data_option(function: Callable[..., Any]) -> Callable[..., Any]:
    text = "Folder of the journal; otherwise JOURNAL_DATA, otherwise the usual place for a user's data."
    return click.option("--data", type=_FOLDER, metavar="DIR", help=text)(function)


@click.command()
@click.option("--to", type=_FOLDER, metavar="DIR", help="Another folder, such as one on a stick; else backups/.")
@_data_option
def backup(to: Path | None, data: Path | None) -> None:
    """Make one file with everything in it, and open it again to check it. The last line is its path."""
    from journal.records.keeping import backup as keeping

    folder = _folder(data)
    with _existing(folder) as engine:
        made = keeping.make(engine, folder, now=_now(), to=to)
    rows = sum(made.contents.rows.values())
    photos = made.contents.photos
    click.echo(f"{rows:,} rows, {photos:,} photos, {made.size / 1e6:.1f} MB; opened again and whole.")
    click.echo(made.path)


@click.command()
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@_data_option
def restore(file: Path, data: Path | None) -> None:
    """Put a backup in the place of the journal; what was there stays beside it. Stop the journal first."""
    from journal.records.engine import URL_VARIABLE
    from journal.records.keeping.restoring import restore as put_back

    if os.environ.get(URL_VARIABLE):
        expected = (
            "nothing while a backup is put back: restore into a folder without it, then `journal move --to` there"
        )
        raise BadInput(URL_VARIABLE, "another database", expected)
    folder = _folder(data)
    found = put_back(file, folder, now=_now())
    click.echo(f"The journal of {found.contents.made_at:%Y-%m-%d %H:%M} UTC is in {folder}.")
    if found.before:
        click.echo(f"What was there is in {found.before}.")


@click.command()
@click.argument("folder", metavar="DIR", type=_FOLDER)
@_data_option
def export(folder: Path, data: Path | None) -> None:
    """Write the whole journal into a new folder: a CSV file a table, and the photos."""
    from journal.records.keeping import folder as keeping

    home = _folder(data)
    with _existing(home) as engine:
        written = keeping.write(engine, home, folder)
    click.echo(
        f"{sum(written.rows.values()):,} rows of {len(written.rows)} tables, {written.photos:,} photos in {folder}"
    )


@click.command("import")
@click.argument("folder", metavar="DIR", type=click.Path(exists=True, file_okay=False, path_type=Path))
@_data_option
def import_(folder: Path, data: Path | None) -> None:
    """Take such a folder into an empty journal, all of it or nothing."""
    from journal.records.engine import database_url, open_engine
    from journal.records.in_words import in_words
    from journal.records.keeping import folder as keeping

    home = _folder(data)
    engine = open_engine(database_url(home))
    try:
        with in_words():
            read = keeping.read(engine, home, folder)
    finally:
        engine.dispose()
    click.echo(f"{sum(read.rows.values()):,} rows of {len(read.rows)} tables, {read.photos:,} photos taken into {home}")


@click.command()
@_data_option
@click.pass_context
def check(context: click.Context, data: Path | None) -> None:
    """Look for what is wrong with the journal, and say what to do. Ends with 1 when something is."""
    from journal.records.keeping.check import check as look
    from journal.records.keeping.surroundings import warnings

    folder = _folder(data)
    with _existing(folder, upgrade=False) as engine:
        findings = look(engine, folder)
    for warning in warnings(folder, _now()):
        click.echo(f"Look: {warning}.", err=True)
    for finding in findings:
        click.echo(str(finding))
    if findings:
        context.exit(1)
    click.echo(
        "Nothing is wrong: the file is whole, every row has what it belongs to, every promise says what it said, "
        "every photo is there."
    )


@click.command()
@click.option("--to", "url", required=True, metavar="URL", help="postgresql://user@host/name, or sqlite:///path.")
@_data_option
def move(url: str, data: Path | None) -> None:
    """Copy the journal into an empty database elsewhere, and compare every row. The old one is left as it is."""
    from journal.records.engine import PHOTOS, open_engine
    from journal.records.keeping.copying import copy_all

    target, home = open_engine(url), _folder(data)
    try:
        with _existing(home) as engine:
            found = copy_all(engine, target)
    finally:
        target.dispose()
    rows = sum(table.rows for table in found.values())
    click.echo(f"{rows:,} rows of {len(found)} tables copied and the same. Start with JOURNAL_DATABASE_URL={url}")
    if (home / PHOTOS).is_dir():
        click.echo(f"The photos stay in {home / PHOTOS}: start with the same data folder.")


def _folder(data: Path | None) -> Path:
    from journal.records.engine import data_folder

    return data_folder(data)


@contextmanager
def _existing(folder: Path, *, upgrade: bool = True) -> Iterator[Engine]:
    """The journal of a folder, if there is one: keeping one safe must not make one."""
    from journal.records.engine import database_url, open_engine, sqlite_file
    from journal.records.in_words import in_words
    from journal.records.migrate import ensure_current

    engine = open_engine(database_url(folder))
    path = sqlite_file(engine)
    if path is not None and not path.exists():
        raise BadInput("data folder", str(folder), "a folder with a journal in it; name it with --data")
    try:
        with in_words():
            if upgrade:
                ensure_current(engine)
            yield engine
    finally:
        engine.dispose()


def _now() -> datetime:
    from datetime import UTC, datetime

    return datetime.now(UTC)
