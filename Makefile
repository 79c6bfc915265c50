# One word per job; every job does what it needs first, and twice is as good as once.

PYTHON ?= python3
VENV := .venv
ifeq ($(OS),Windows_NT)
$(error On Windows use the plain commands in README.md, "Windows")
endif
BIN := $(VENV)/bin
MANAGE := $(BIN)/python manage.py

.PHONY: help start empty phones setup test pages pictures bench check audit format lock
.DEFAULT_GOAL := help

help:
	@echo "make start    the studio at http://127.0.0.1:8000, with the demo when it is empty"
	@echo "make empty    the same without the demo"
	@echo "make phones   the same, open to phones on the studio's network"
	@echo "make test     all tests, on SQLite and on PostgreSQL, in a browser too"
	@echo "make pages    open every page of the demo studio, on a phone and at a desk; takes minutes"
	@echo "make pictures make the pictures of the README's tour anew, from the demo studio; takes minutes"
	@echo "make bench    all figures against their floors; long, a million outcomes have to be made; SIZES=10000 is shorter"
	@echo "make check    style, types, templates, migrations"
	@echo "make audit    look the pinned packages up in the public lists of known holes; fails where it cannot reach them"
	@echo "make format   put the style right"
	@echo "make setup    only make .venv, with the tools for tests"
	@echo "make lock     pin requirements anew from pyproject.toml"

start: $(VENV)/runs
	@exec $(MANAGE) start

empty: $(VENV)/runs
	@exec $(MANAGE) start --empty

phones: $(VENV)/runs
	@exec $(MANAGE) start --phones

setup: $(VENV)/tests

test: $(VENV)/tests
	@tests/everything.sh

pages: $(VENV)/tests
	@tests/tools.sh
	$(BIN)/pytest -q -m sweep

pictures: $(VENV)/tests
	$(BIN)/python -m tests.tour

# How large the studios are that searches are measured in, and where the table goes.
SIZES ?= 10000 100000 1000000
FIGURES ?= docs/figures.md
bench: $(VENV)/tests
	$(BIN)/python -m tests.bench.everything --sizes $(SIZES) --keep $(FIGURES)

# Settings need a data folder; checks leave the studio's own alone.
check: export TILEWRIGHT_DATA := build/check
check: $(VENV)/tests
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy .
	$(BIN)/djlint --check --lint --quiet templates
	@# Of a line that is excused from one check it remarks that the others found nothing; shown only where something is found.
	@mkdir -p build
	$(BIN)/bandit --quiet --recursive --configfile pyproject.toml . 2> build/bandit.log || { cat build/bandit.log >&2; exit 1; }
	$(MANAGE) makemigrations --check --dry-run
	TILEWRIGHT_HTTPS=1 $(MANAGE) check --deploy --fail-level WARNING

# Strict, as pip-audit otherwise passes what it could not look up.
audit: $(VENV)/tests
	$(BIN)/pip-audit --strict --disable-pip --progress-spinner off --requirement requirements-server.txt
	$(BIN)/pip-audit --strict --disable-pip --progress-spinner off --requirement requirements-dev.txt

format: $(VENV)/tests
	$(BIN)/ruff format .
	$(BIN)/ruff check --fix .
	$(BIN)/djlint --reformat --quiet templates

lock:
	@command -v uv > /dev/null || { echo "make lock needs uv (pip install uv)." >&2; exit 1; }
	uv pip compile $(LOCK) -o requirements.txt pyproject.toml
	uv pip compile $(LOCK) --extra dev -o requirements-dev.txt pyproject.toml
	uv pip compile $(LOCK) --extra postgres --extra s3 -o requirements-server.txt pyproject.toml

LOCK := --quiet --universal --generate-hashes --no-emit-index-url --no-emit-find-links --no-header --no-annotate \
	--python-version 3.11

# What the studio needs to run; a tenth of the wait of all the tools.
$(VENV)/runs: requirements.txt
	@PYTHON="$(PYTHON)" ./setup.sh requirements.txt
	@touch $@

# What tests and checks need; it holds all that the studio needs too.
$(VENV)/tests: requirements-dev.txt requirements.txt
	@PYTHON="$(PYTHON)" ./setup.sh requirements-dev.txt
	@touch $(VENV)/runs $@
