"""Backups on a page: listed, made, taken along."""

import io
import zipfile

import pytest
from journal.records.keeping import backup
from tests.web import project_pages as pages


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


def press(client):
    form = pages.soup(client.get("/shop/backup")).select_one("main form")
    return client.post(form["action"], data={box["name"]: box["value"] for box in form.select("input")})


def test_without_one_the_page_says_when_there_will_be(client):
    assert "None yet" in pages.text(pages.soup(client.get("/shop/backup")).main)


def test_one_is_made_listed_and_can_be_taken_along(client, tmp_path):
    assert press(client).location == "/shop/backup"
    page = pages.soup(client.get("/shop/backup"))
    assert "opened again and is whole" in page.select_one("[role=status]").text
    (row,) = page.select("tbody tr")
    assert "asked for" in row.text
    with client.get(row.select_one("a")["href"]) as taken:
        assert taken.mimetype == "application/zip"
        assert zipfile.ZipFile(io.BytesIO(taken.data)).testzip() is None
    assert len(backup.listed(tmp_path / "backups")) == 1


@pytest.mark.parametrize("name", ["nothing.zip", "..%2Fjournal.db", "secret.key", "journal-20260101-000000-asked.zip"])
def test_nothing_else_of_the_folder_can_be_had(client, name):
    press(client)
    assert client.get(f"/shop/backup/{name}").status_code == 404


def test_a_damaged_journal_is_told_of_and_no_backup_is_left(client, tmp_path, monkeypatch):
    def damaged(*_, **__):
        raise backup.DamagedBackup(tmp_path / "x.zip", "its database is damaged")

    monkeypatch.setattr(backup, "check", damaged)
    refused = press(client)
    assert refused.status_code == 400
    assert "its database is damaged" in refused.text
    assert backup.listed(tmp_path / "backups") == ()
