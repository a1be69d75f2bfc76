"""What the documents say is there, is there."""

import re
from pathlib import Path

import pytest
from journal.cli import main
from journal.web import create_app

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
MAKEFILE = (ROOT / "Makefile").read_text(encoding="utf-8")


@pytest.mark.parametrize("command", sorted(main.commands))
def test_every_command_is_in_the_readme_or_with_the_developers(command):
    assert f"journal {command}" in README + DEVELOPERS


@pytest.mark.parametrize("target", re.findall(r"`make (\w+)`", README + DEVELOPERS))
def test_every_make_target_named_exists(target):
    assert re.search(rf"^{target}:", MAKEFILE, re.MULTILINE)


@pytest.mark.parametrize("path", re.findall(r"\bseed_data/[\w.]+", README))
def test_every_file_named_exists(path):
    assert (ROOT / path).is_file()


def test_the_two_commands_and_their_plain_forms_stand_in_the_readme():
    for words in ("make demo", "make test", ".venv/bin/journal demo", ".venv/bin/pytest"):
        assert words in README


def test_every_room_is_on_the_map():
    rooms = {path.name for path in (ROOT / "journal").iterdir() if path.is_dir() and not path.name.startswith("__")}
    for room in rooms - {"bundled"}:
        assert f"journal/{room}" in DEVELOPERS, room


def test_the_lock_names_no_host():
    for lock in ROOT.glob("requirements*.lock"):
        text = lock.read_text(encoding="utf-8")
        assert "://" not in text
        assert "--index" not in text
        assert text.count("--hash=sha256:") > 50


def test_every_section_page_answers_without_a_trailing_stroke(file_engine):
    client = create_app(engine=file_engine, testing=True).test_client()
    for path in ("/projects", "/prices", "/shop", "/paces"):
        assert client.get(path).status_code == 200
