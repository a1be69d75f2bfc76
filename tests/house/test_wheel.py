"""The program works from an installed wheel, outside the checkout, with its data folders inside it."""

import os
import subprocess
import sys
import sysconfig
import venv
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """A fresh environment with the built wheel in it; its dependencies are lent from the one the tests run in."""
    here = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(here / "dist")]
    subprocess.run(build, cwd=ROOT, check=True, capture_output=True)
    (wheel,) = (here / "dist").glob("*.whl")
    home = here / "env"
    venv.create(home, with_pip=False)
    site = next(home.glob("lib/python*/site-packages"))
    # A path in a .pth file does not bring in the .pth files there, so the checkout itself stays out.
    (site / "lent.pth").write_text(sysconfig.get_paths()["purelib"] + "\n")
    install = ["-m", "pip", "install", "--quiet", "--no-deps", "--no-index", str(wheel)]
    subprocess.run([str(home / "bin" / "python"), *install], check=True, capture_output=True, cwd=here)
    return home / "bin"


def run(tmp_path, *words):
    quiet = {"HOME": str(tmp_path), "PATH": os.defpath, "JOURNAL_DATA": str(tmp_path / "data")}
    return subprocess.run([*words], cwd=tmp_path, env=quiet, capture_output=True, text=True, check=False)


def test_it_is_the_wheel_that_runs(installed, tmp_path):
    asked = "import journal, journal.places as p; print(journal.__file__, p.folder('shared'))"
    result = run(tmp_path, str(installed / "python"), "-c", asked)
    assert result.returncode == 0, result.stderr
    assert str(ROOT) not in result.stdout
    assert "bundled" in result.stdout


def test_the_demo_runs_from_it(installed, tmp_path):
    result = run(tmp_path, str(installed / "journal"), "demo", "--no-serve")
    assert result.returncode == 0, result.stderr
    assert "eight times in ten" in result.stdout
