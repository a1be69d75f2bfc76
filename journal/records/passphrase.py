"""The passphrase of the shop's network: its Argon2id hash in a file of its own, beside the database and not in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.records.keeping.files import whole_file

if TYPE_CHECKING:
    from pathlib import Path

FILE_NAME = "passphrase.hash"
SHORTEST = 12  # characters: three or four words
LONGEST = 200


def keep_passphrase(folder: Path, phrase: str) -> None:
    """Keep the hash of a passphrase, in the place of an earlier one.

    Raises:
        BadInput: too short to stand up to guessing, or absurdly long.
    """
    from argon2 import PasswordHasher  # noqa: PLC0415 - loads a C library; most starts need none of it

    if not SHORTEST <= len(phrase) <= LONGEST or len(set(phrase)) < SHORTEST // 3:
        raise BadInput(
            "passphrase", f"{len(phrase)} characters", f"at least {SHORTEST} characters, such as four words of your own"
        )
    with whole_file(folder / FILE_NAME) as unfinished:
        unfinished.write_text(PasswordHasher().hash(phrase), encoding="ascii")


def has_passphrase(folder: Path) -> bool:
    """Whether one was set."""
    return (folder / FILE_NAME).is_file()


def is_passphrase(folder: Path, phrase: str) -> bool:
    """Whether this is the one that was set; takes about as long for a wrong one as for the right one."""
    from argon2 import PasswordHasher  # noqa: PLC0415
    from argon2.exceptions import InvalidHashError, VerificationError  # noqa: PLC0415

    if not has_passphrase(folder) or len(phrase) > LONGEST:
        return False
    try:
        return PasswordHasher().verify((folder / FILE_NAME).read_text(encoding="ascii").strip(), phrase)
    except (VerificationError, InvalidHashError):
        return False
