"""Requests nobody would make on purpose: every address, as everyone, with junk in every place of it.

    python -m tests.bench.fuzz [--requests 100000] [--seed 1]

On a throw-away studio with demo data. Counts answers by status, and fails on an error of ours, on a mark that comes
back as markup, on a form that could be posted without its token, and on a page that names another host.
"""

import argparse
import os
import subprocess
import sys
import tempfile


def main() -> None:
    """Make the requests in a process that knows of no other studio."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--requests", type=int, default=100_000)
    words.add_argument("--seed", type=int, default=1)
    asked = words.parse_args()
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    environment |= {"DJANGO_SETTINGS_MODULE": "tests.bench.fuzz_settings"}
    with tempfile.TemporaryDirectory() as folder:
        command = [
            sys.executable,
            "-W",
            "ignore",
            "-m",
            "tests.bench.fuzzing",
            str(asked.requests),
            str(asked.seed),
        ]
        sys.exit(subprocess.call(command, env=environment | {"TILEWRIGHT_DATA": folder}))


if __name__ == "__main__":
    main()
