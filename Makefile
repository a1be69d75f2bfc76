# One command an errand. Each sets up what it needs; run any of them in a fresh clone.
PYTHON ?= python3
VENV   ?= .venv
BIN    := $(VENV)/bin
# Compiled once, whatever the machine's habit: a command that compiles all modules anew takes a second more.
export PYTHONDONTWRITEBYTECODE =

.PHONY: demo serve test test-postgres faults fuzz audit lint format bench tour lock clean

demo: $(VENV)/.ready
	$(BIN)/journal demo $(if $(PORT),--port $(PORT))

serve: $(VENV)/.ready
	$(BIN)/journal serve $(if $(PORT),--port $(PORT))

test: $(VENV)/.ready-dev
	$(BIN)/pytest -n 2 --dist loadfile --no-loadscope-reorder tests

# The fault suite at length: killed two hundred times, twenty writers with two hundred turns each, twenty phones a minute.
faults: $(VENV)/.ready-dev
	JOURNAL_FAULT_ROUNDS=200 JOURNAL_PHONE_SECONDS=60 $(BIN)/pytest tests/faults

# Every test that needs a journal, on a throwaway PostgreSQL server instead of a SQLite file. Needs PostgreSQL's programs.
test-postgres: $(VENV)/.ready-dev
	JOURNAL_TEST_DATABASE=postgresql $(BIN)/pytest -n 2 --dist loadfile tests/attack tests/desk tests/records tests/web -m "not browser"

# The attack suite at length: two thousand tries of the forms, and of each reader of files.
fuzz: $(VENV)/.ready-dev
	JOURNAL_FUZZ_EXAMPLES=2000 $(BIN)/pytest -n 2 tests/attack

# Asks over the network whether a pinned package has a known fault.
audit: $(VENV)/.ready-dev
	$(BIN)/pip-audit --requirement requirements.lock --require-hashes --disable-pip --strict

lint: $(VENV)/.ready-dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

format: $(VENV)/.ready-dev
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

bench: $(VENV)/.ready-dev
	mkdir -p bench/results
	$(BIN)/pytest bench -n 0 -q --benchmark-only --benchmark-quiet --benchmark-max-time=0.5 \
	  --benchmark-json=bench/results/$$(date +%Y%m%d-%H%M%S).json
	$(BIN)/python -m bench.report

# The pictures of the tour in the README, anew from the demo shop. Needs chromium.
tour: $(VENV)/.ready-dev
	$(BIN)/python docs/tour/take.py

# Needs uv; writes the pins for every Python from 3.11 on and names no registry.
lock:
	uv pip compile pyproject.toml --universal --python-version 3.11 --generate-hashes --no-emit-index-url \
	  --no-header --no-annotate --extra build -o requirements.lock
	uv pip compile pyproject.toml --universal --python-version 3.11 --generate-hashes --no-emit-index-url \
	  --no-header --no-annotate --extra dev -o requirements-dev.lock

$(VENV)/.ready: requirements.lock pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --require-hashes -r requirements.lock
	$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation -e .
	touch $@

$(VENV)/.ready-dev: requirements-dev.lock pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --require-hashes -r requirements-dev.lock
	$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation -e .
	touch $@ $(VENV)/.ready

clean:
	rm -rf $(VENV) build dist .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis
