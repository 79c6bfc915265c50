#!/usr/bin/env bash
# All tests, on SQLite and on PostgreSQL. Words after the command go to pytest: tests/everything.sh -k label
set -euo pipefail
cd "$(dirname "$0")/.."

tests/tools.sh
echo "== The tests on SQLite"
.venv/bin/pytest -q -n 2 "$@"
echo "== The tests on PostgreSQL"
tests/postgres.sh .venv/bin/pytest -q -n 2 "$@"
