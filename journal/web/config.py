"""Settings of the pages: where the data lies, which names the server answers to, the key of the cookies."""

from __future__ import annotations

import os
import re
import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.records.engine import data_folder

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
LARGEST_REQUEST = 4 * 1024 * 1024  # bytes; a long part list is under 100 kB, a phone photo about 3 MB
SECRET_FILE = "secret.key"  # noqa: S105  # a file's name
_SHORTEST_SECRET = 32
_HOST = re.compile(r"[a-z0-9]([a-z0-9.-]*[a-z0-9])?|\[[0-9a-f:.]+\]")


@dataclass(frozen=True, slots=True)
class Network:
    """The shop’s network, where the server answers to it: under which names, and whether over HTTPS."""

    hosts: tuple[str, ...]
    https: bool


@dataclass(frozen=True, slots=True)
class Settings:
    """What the server was started with.

    Attributes:
        data: folder of the database and the key; None in a test that named none and leaves nothing behind.
        secret: signs cookies and forms.
        hosts: names the server answers to, lower case, without a port.
        largest_request: bytes.
        testing: errors go through to the test instead of to a page.
        lan: it answers to the shop’s network, so a browser has to be let in.
        https: it is only reached over HTTPS.
    """

    data: Path | None
    secret: str
    hosts: tuple[str, ...] = LOOPBACK
    largest_request: int = LARGEST_REQUEST
    testing: bool = False
    lan: bool = False
    https: bool = False

    def __post_init__(self) -> None:
        if len(self.secret) < _SHORTEST_SECRET:
            raise BadInput("secret", f"{len(self.secret)} characters", f"at least {_SHORTEST_SECRET} characters")


def cookie_name(name: str, *, https: bool) -> str:
    """A cookie's name: over HTTPS marked so that browsers take it from this very server alone, and only closed.

    The mark asks for Secure, Path=/ and no Domain (RFC 6265bis, section 4.1.3.2); without HTTPS it cannot be had.
    """
    return f"__Host-{name}" if https else name


def read(
    *,
    data: Path | None,
    testing: bool,
    secret: str | None,
    network: Network | None = None,
    environ: Mapping[str, str] = os.environ,
) -> Settings:
    """The settings: an argument wins over the environment, the environment over the default.

    Environment: JOURNAL_HOSTS, further host names, with commas between. The data folder is where records says.

    Raises:
        BadInput: a host name or the key file cannot be used.
    """
    folder = None if testing and data is None else data_folder(data)
    if secret is None:
        secret = stored_secret(folder) if folder else secrets.token_urlsafe(48)
    names = (*_hosts(environ.get("JOURNAL_HOSTS", "")), *(network.hosts if network else ()))
    return Settings(
        data=folder,
        secret=secret,
        hosts=tuple(dict.fromkeys(names)),
        testing=testing,
        lan=network is not None,
        https=network is not None and network.https,
    )


def stored_secret(folder: Path) -> str:
    """The key in the data folder, made on first use and readable by its owner alone."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / SECRET_FILE
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return _kept_secret(path)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(made := secrets.token_urlsafe(48))
    return made


def _kept_secret(path: Path) -> str:
    path.chmod(0o600)  # a restored copy may have come back readable by all
    kept = path.read_text(encoding="utf-8").strip()
    if len(kept) < _SHORTEST_SECRET:
        expected = f"a key of at least {_SHORTEST_SECRET} characters; delete the file and start again"
        raise BadInput(str(path), f"{len(kept)} characters", expected)
    return kept


def _hosts(listed: str) -> tuple[str, ...]:
    names = [name.strip().lower() for name in listed.split(",") if name.strip()]
    for name in names:
        if not _HOST.fullmatch(name):
            raise BadInput("JOURNAL_HOSTS", name, "host names or addresses without a port, such as bench.local")
    return tuple(dict.fromkeys((*LOOPBACK, *names)))
