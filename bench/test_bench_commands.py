"""Whole commands from a cold process: what a person waits for at the terminal."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
COMMAND = Path(sys.executable).with_name("journal")


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo")
    run("demo", "--no-serve", "--data", str(folder))
    return folder


def run(*words):
    return subprocess.run(
        [COMMAND, *words], check=True, capture_output=True, cwd=ROOT, env={**os.environ, "COLUMNS": "120"}
    )


def test_help(benchmark):
    benchmark.pedantic(run, args=("--help",), rounds=7, warmup_rounds=1)


def test_estimate_of_the_demo_commission(benchmark, demo):
    words = ("estimate", "seed_data/demo_commission.csv", "--data", str(demo))
    benchmark.pedantic(run, args=words, rounds=7, warmup_rounds=1)


def test_paces(benchmark, demo):
    benchmark.pedantic(run, args=("paces", "--json", "--data", str(demo)), rounds=7, warmup_rounds=1)
