"""Twenty phones tap at once at the server as it is started in a shop: every tap that was acknowledged is there, once.

A second of it each time; `make faults` goes on for a minute.
"""

import json
import logging
import os
import random
import socket
import subprocess
import sys
import threading
import time
from datetime import UTC, datetime
from http.client import HTTPConnection
from pathlib import Path

import pytest
from journal.desk import taps
from journal.records.engine import sqlite_file, writing
from journal.records.keeping.check import check
from journal.web.floor.device_routes import TOKEN_HEADER
from tests.desk import floor_shop as shop

PHONES = 20
SECONDS = float(os.environ.get("JOURNAL_PHONE_SECONDS", "1"))
ROOT = Path(__file__).parents[2]
LOG = logging.getLogger("tests.phones")
SERVE = "from journal.cli import main; main()"


class Phone:
    """One phone: it starts and stops work by turns, sends some taps twice, and looks at Today now and then."""

    def __init__(self, port, token, person, project):
        self.port, self.token, self.person, self.project = port, token, person, project
        self.acknowledged, self.troubles, self.asked = [], [], 0
        self.dice = random.Random(person)  # noqa: S311 - turns, not secrets

    def run(self, until):
        number = 0
        while time.monotonic() < until:
            number += 1
            what = "start" if number % 2 else "stop"
            tap = shop.body(number, what, self.project, "joint_face", datetime.now(UTC), person=self.person)
            for _ in range(self.dice.choice((1, 1, 1, 2))):
                self.send(tap)
            if number % 10 == 0:
                self.look()

    def send(self, tap):
        headers = {"Content-Type": "application/json", TOKEN_HEADER: self.token}
        status, text = self.ask("POST", "/floor/taps", json.dumps({"taps": [tap]}), headers)
        if status != 200:
            self.troubles.append((status, text[:300]))
            return
        (answer,) = json.loads(text)["answers"]
        if answer["state"] in {"kept", "known"}:
            self.acknowledged.append(answer["sequence"])
        else:
            self.troubles.append(answer)

    def look(self):
        status, text = self.ask("GET", "/today", None, {"Accept": "text/html"})
        if status != 200:
            self.troubles.append((status, text[:300]))

    def counts(self):
        return self.asked, len(set(self.acknowledged))

    def ask(self, method, address, body, headers):
        self.asked += 1
        connection = HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            connection.request(method, address, body, headers)
            answer = connection.getresponse()
            return answer.status, answer.read().decode()
        finally:
            connection.close()


@pytest.fixture
def floor(file_engine):
    """(engine, a token and a person for each phone, the projects they work on)."""
    with writing(file_engine) as session:
        people = shop.people(session, *(f"bench {number}" for number in range(PHONES)))
        projects = [shop.in_build(session, code=f"job {number}") for number in range(4)]
        tokens = [taps.pair(session, f"{number:032x}", "a phone", now=shop.NOW) for number in range(PHONES)]
    return file_engine, list(zip(tokens, people, strict=True)), projects


@pytest.fixture
def port(floor):
    """Of the real server, started as a user does."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        number = free.getsockname()[1]
    folder = sqlite_file(floor[0]).parent
    command = [sys.executable, "-c", SERVE, "serve", "--data", str(folder), "--port", str(number)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT) as server:
        assert server.stdout.readline().startswith("Open http://127.0.0.1:")
        yield number
        server.kill()


@pytest.mark.slow
def test_what_twenty_phones_were_told_is_kept_is_there_once_and_no_one_waits_in_vain(floor, port, tmp_path):
    engine, hands, projects = floor
    phones = [
        Phone(port, token, person, projects[number % len(projects)]) for number, (token, person) in enumerate(hands)
    ]
    until = time.monotonic() + SECONDS
    threads = [threading.Thread(target=phone.run, args=(until,)) for phone in phones]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    LOG.info("%d requests, %d taps kept", *(sum(counts) for counts in zip(*map(Phone.counts, phones), strict=True)))
    assert [trouble for phone in phones for trouble in phone.troubles] == []
    with engine.connect() as connection:
        kept = connection.exec_driver_sql(
            "SELECT devices.uid, taps.sequence FROM taps JOIN devices ON devices.id = taps.device_id"
        ).all()
    told = {(f"{number:032x}", one) for number, phone in enumerate(phones) for one in phone.acknowledged}
    assert len(kept) == len(set(kept))
    assert set(kept) == told
    assert min(len(phone.acknowledged) for phone in phones) >= 1
    assert check(engine, tmp_path) == ()
