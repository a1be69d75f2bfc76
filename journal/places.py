"""Where the folders of data stand: beside the package in a checkout, inside it in an installed wheel."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

_PACKAGE = Path(__file__).resolve().parent

Folder = Literal["shared", "seed_data", "migrations"]


def folder(name: Folder) -> Path:
    """Path of one of the project's data folders.

    Raises:
        FileNotFoundError: when the installation is incomplete.
    """
    for parent in (_PACKAGE / "bundled", _PACKAGE.parent):
        path = parent / name
        if path.is_dir():
            return path
    raise FileNotFoundError(f"the folder {name}/ is missing from this installation; install it again")
