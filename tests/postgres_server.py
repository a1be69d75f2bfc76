"""A throwaway PostgreSQL server for one test process, on a socket in a temporary folder; nothing of it stays.

Where its programs are missing the tests that need it are skipped, except on the build machine (CI=true), where a
missing server must not pass for a good one.
"""

import atexit
import functools
import os
import pwd
import shutil
import subprocess
import tempfile
import time
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import URL, create_engine, text
from sqlalchemy.exc import OperationalError
from sqlalchemy.pool import NullPool

_USER = "postgres"
_START_SECONDS = 90  # on a computer busy with other things
_numbers = count(1)


def new_database():
    """URL of a new, empty database."""
    name = f"test_{next(_numbers)}"
    _as_owner(f"CREATE DATABASE {name}")
    return _url(_server(), name)


def copy_database(url):
    """URL of a new database that holds what another one does, to which nobody is connected."""
    name = f"test_{next(_numbers)}"
    _as_owner(f"CREATE DATABASE {name} TEMPLATE {url.database} STRATEGY FILE_COPY")
    return _url(_server(), name)


def drop_database(url):
    """Remove a database again, whoever is still connected."""
    _as_owner(f"DROP DATABASE {url.database} WITH (FORCE)")


def _as_owner(statement):
    with _owner().connect() as connection:
        connection.execute(text(statement))


@functools.cache
def _owner():
    return create_engine(_url(_server(), "postgres"), isolation_level="AUTOCOMMIT", poolclass=NullPool)


@functools.cache
def _server():
    """The folder of the running server's socket; started at the first call, stopped with the process."""
    programs = _programs()
    home = Path(tempfile.mkdtemp(prefix="pg-", dir="/tmp"))  # a short path: a socket's is limited to 107 characters
    atexit.register(shutil.rmtree, home, ignore_errors=True)
    if os.geteuid() == 0:
        shutil.chown(home, _USER, _USER)
    data = home / "data"
    make = [programs / "initdb", "-D", data, "-U", _USER, "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync"]
    subprocess.run([*_as_ordinary_user(), *make], check=True, capture_output=True, cwd=home)
    # Without autovacuum: its own transactions would look as if somebody had written to the journal meanwhile.
    settings = ["-c", "listen_addresses=", "-c", "fsync=off", "-c", "autovacuum=off"]
    serve = [programs / "postgres", "-D", data, "-k", home, *settings]
    with (home / "log").open("wb") as log:
        process = subprocess.Popen([*_as_ordinary_user(), *serve], stdout=log, stderr=log, cwd=home)
    atexit.register(_stop, process)
    _wait_until_up(home, process)
    return home


def _as_ordinary_user():
    """The server refuses to run as root; and it must end when the test process is killed."""
    command = ["setpriv", "--pdeathsig", "QUIT"]
    if os.geteuid() == 0:
        owner = pwd.getpwnam(_USER)
        command += [f"--reuid={owner.pw_uid}", f"--regid={owner.pw_gid}", "--clear-groups"]
    return command


def _programs():
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    on_path = shutil.which("initdb")
    folder = found[-1].parent if found else Path(on_path).parent if on_path else None
    if folder is not None and shutil.which("setpriv"):
        return folder
    if os.environ.get("CI") == "true":
        pytest.fail("the programs of a PostgreSQL server are missing on the build machine")
    pytest.skip("the programs of a PostgreSQL server are not installed")


def _url(home, database):
    return URL.create("postgresql+psycopg", username=_USER, database=database, query={"host": str(home)})


def _wait_until_up(home, process):
    engine = create_engine(_url(home, "postgres"))
    give_up = time.monotonic() + _START_SECONDS
    while True:
        try:
            engine.connect().close()
        except OperationalError as error:
            if process.poll() is not None or time.monotonic() > give_up:
                raise RuntimeError((home / "log").read_text()) from error
            time.sleep(0.05)
        else:
            engine.dispose()
            return


def _stop(process):
    process.terminate()
    try:
        process.wait(5)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
