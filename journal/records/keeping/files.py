"""A file written whole or not at all, and readable by its owner alone."""

from __future__ import annotations

import os
from contextlib import contextmanager
from typing import TYPE_CHECKING

from journal.errors import JournalError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """A name to write to; the file gets its own name when it is complete and on the disk, else nothing is left of it.

    Raises:
        JournalError: it could not be written (a full disk, a folder without permission).
    """
    unfinished = path.with_name(f"{path.name}.part")
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        unfinished.unlink(missing_ok=True)
        yield unfinished
        unfinished.chmod(0o600)
        _to_disk(unfinished)
        unfinished.replace(path)
        _to_disk(path.parent)
    except OSError as error:
        raise JournalError(f"{path} could not be written: {error.strerror or error}. Nothing of it was kept") from error
    finally:
        # Removing what is half done must not hide why it is half done.
        if unfinished.exists():
            unfinished.unlink()


def free_name(path: Path) -> Path:
    """The path itself, or with a number where there is one already: nothing is overwritten."""
    number, free = 1, path
    while free.exists():
        number += 1
        free = path.with_name(f"{path.stem}-{number}{path.suffix}")
    return free


def _to_disk(path: Path) -> None:
    """Have the system write a file, or a folder's list of names, so that it outlives a power cut."""
    if path.is_dir() and os.name == "nt":
        return  # Windows does not open folders
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
