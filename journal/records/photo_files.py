"""The pictures of photos as files of the data folder: each under the checksum of its bytes, so the same one lies there once.

`photos/ab/abcd….jpg` is the picture, `photos/ab/abcd….small.jpg` what lists show of it. A file is there, whole, before any
row speaks of it, and is never changed.
"""

from __future__ import annotations

import re
import threading
from hashlib import file_digest, sha256
from typing import TYPE_CHECKING

from journal.errors import MissingReference
from journal.records.engine import PHOTOS
from journal.records.keeping.files import whole_file

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

_DIGEST = re.compile(r"[0-9a-f]{64}")
_NAME = re.compile(r"([0-9a-f]{2})/(\1[0-9a-f]{62})(\.small)?\.jpg")

_keeping = threading.Lock()  # the same picture sent twice at once is written once


def large_path(data: Path, digest: str) -> Path:
    """Where a picture lies, whether it does or not.

    Raises:
        MissingReference: that is no checksum; no path is made of anything else.
    """
    return _folder(data, digest) / f"{digest}.jpg"


def small_path(data: Path, digest: str) -> Path:
    """Where its small picture lies; raises as `large_path`."""
    return _folder(data, digest) / f"{digest}.small.jpg"


def keep(data: Path, large: bytes, small: bytes) -> str:
    """Put a picture and its small one on the disk; answers the checksum it lies under.

    Raises:
        JournalError: they cannot be written.
    """
    digest = sha256(large).hexdigest()
    with _keeping:
        for path, content in ((small_path(data, digest), small), (large_path(data, digest), large)):
            if not path.is_file() or path.read_bytes() != content:  # one that was damaged is whole again
                with whole_file(path) as unfinished:
                    unfinished.touch(mode=0o600)
                    unfinished.write_bytes(content)
    return digest


def is_whole(data: Path, digest: str) -> bool:
    """Whether the picture's file is as it was written; OSError when there is none."""
    with large_path(data, digest).open("rb") as file:
        return file_digest(file, "sha256").hexdigest() == digest


def is_whole_small(data: Path, digest: str) -> bool:
    """Whether the small picture is there from its first mark to its last; its own checksum is kept nowhere."""
    try:
        content = small_path(data, digest).read_bytes()
    except OSError:
        return False
    return content.startswith(b"\xff\xd8") and content.endswith(b"\xff\xd9")


def others(data: Path, known: set[str]) -> Iterator[str]:
    """Names of files among the photos that belong to none of those known, in order."""
    folder = data / PHOTOS
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        found = _NAME.fullmatch(name)
        if path.is_file() and not (found and found[2] in known):
            yield name


def _folder(data: Path, digest: str) -> Path:
    if not _DIGEST.fullmatch(digest):
        raise MissingReference("photo", digest, ())
    return data / PHOTOS / digest[:2]
