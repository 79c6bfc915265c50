#!/usr/bin/env bash
# All tests, on SQLite and on PostgreSQL. Words after the command go to pytest: tests/everything.sh -k label
set -euo pipefail
cd "$(dirname "$0")/.."

# Browsers that share few processors may lose their patience for a reason that is not the page's. What failed is run once more,
# alone; a fault fails again. What passes only then is named twice in what is printed, and is a test to mend.
run_tests() {
    "$@" -n 2 && return
    [ $? -eq 1 ] || return 1
    echo "== Once more, alone: the tests that failed"
    "$@" --last-failed --last-failed-no-failures none
}

tests/tools.sh
echo "== The tests on SQLite"
run_tests .venv/bin/pytest -q "$@"
echo "== The tests on PostgreSQL"
run_tests tests/postgres.sh .venv/bin/pytest -q "$@"
