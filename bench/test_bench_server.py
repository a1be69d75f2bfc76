"""The server as a shop has it, with ten years of data: from start to first page, its memory, twenty phones at once."""

import os
import re
import socket
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from http.cookiejar import CookieJar
from itertools import count
from pathlib import Path
from time import perf_counter, sleep
from urllib.error import HTTPError, URLError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, build_opener

import pytest
from bs4 import BeautifulSoup
from tests.web.test_query_counts import pages

ROOT = Path(__file__).resolve().parents[1]
COMMAND = Path(sys.executable).with_name("journal")
PHONES = 20
PATIENCE_SECONDS = 30
BUSY = re.compile(r"/projects/(\d+)")


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    folder = tmp_path_factory.mktemp("ten")
    words = ("demo", "--no-serve", "--years", "10", "--seed", "1", "--data", str(folder))
    subprocess.run([COMMAND, *words], check=True, capture_output=True, cwd=ROOT)
    return folder


def free_port():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return taken.getsockname()[1]


@contextmanager
def serving(data):
    """A server of its own, and its address."""
    port = free_port()
    words = ("serve", "--port", str(port), "--data", str(data))
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    process = subprocess.Popen([COMMAND, *words], cwd=ROOT, **quiet)
    try:
        yield process, f"http://127.0.0.1:{port}"
    finally:
        process.terminate()
        process.wait(PATIENCE_SECONDS)


def first_page(process, address):
    """Ask until somebody answers."""
    until = perf_counter() + PATIENCE_SECONDS
    while perf_counter() < until and process.poll() is None:
        try:
            return build_opener().open(f"{address}/today").read()
        except URLError:
            sleep(0.01)
    raise TimeoutError(address)


def test_from_start_to_first_page(benchmark, data):
    """The stop is not timed."""
    running = ExitStack()

    def start():
        process, address = running.enter_context(serving(data))
        assert first_page(process, address)

    benchmark.pedantic(start, teardown=running.close, rounds=5, warmup_rounds=1)


def resident_mb(process):
    told = Path(f"/proc/{process.pid}/status").read_text(encoding="utf-8")
    return int(re.search(r"VmRSS:\s+(\d+) kB", told)[1]) / 1024


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read where Linux tells it")
def test_memory_when_every_page_was_opened(benchmark, data):
    with serving(data) as (process, address):
        first_page(process, address)
        opener = build_opener()
        benchmark.extra_info["start_mb"] = resident_mb(process)
        project = BUSY.search(opener.open(f"{address}/today").read().decode())[1]

        def open_all():
            for page in pages():
                try:
                    opener.open(address + page.format(id=project)).read()
                except HTTPError as refused:
                    assert refused.code < 500, page  # noqa: PT017 - some pages ask for more than an address

        benchmark.pedantic(open_all, rounds=2)
        sleep(1)  # what is freed is given back once an answer has been sent
        benchmark.extra_info["resident_mb"] = resident_mb(process)


class Phone:
    """A browser that starts and stops work."""

    def __init__(self, address, number):
        self.opener = build_opener(HTTPCookieProcessor(CookieJar()))
        self.address, self.number, self.counted = address, number, count()
        page = BeautifulSoup(self.opener.open(f"{address}/today").read(), "html.parser")
        form = page.select_one("form[data-tap]")
        self.action = form["action"]
        self.boxes = {box["name"]: box.get("value", "") for box in form.select("input")}

    def tap(self):
        """Start or stop, by turns; how long the answer took, seconds."""
        number = next(self.counted)
        sent = self.boxes | {"key": f"phone-{self.number:02}-{number:06}", "what": "stop" if number % 2 else "start"}
        began = perf_counter()
        self.opener.open(self.address + self.action, urlencode(sent).encode(), timeout=PATIENCE_SECONDS).read()
        return perf_counter() - began


def test_twenty_phones_start_and_stop(benchmark, data):
    """Each taps twice, all at the same time, and follows to the page that comes after."""
    took = []
    with serving(data) as (process, address):
        first_page(process, address)
        phones = [Phone(address, number) for number in range(PHONES)]
        with ThreadPoolExecutor(PHONES) as crowd:

            def storm():
                took.extend(
                    seconds for pair in crowd.map(lambda one: (one.tap(), one.tap()), phones) for seconds in pair
                )

            benchmark.pedantic(storm, rounds=3, warmup_rounds=1)
    took.sort()
    benchmark.extra_info["tap_median_ms"] = 1e3 * took[len(took) // 2]
    benchmark.extra_info["tap_p95_ms"] = 1e3 * took[int(0.95 * len(took))]


def test_estimate_of_the_commission(benchmark, data):
    words = ("estimate", "seed_data/demo_commission.csv", "--data", str(data))
    environment = {**os.environ, "COLUMNS": "120"}
    benchmark.pedantic(
        lambda: subprocess.run([COMMAND, *words], check=True, capture_output=True, cwd=ROOT, env=environment),
        rounds=5,
        warmup_rounds=1,
    )
