"""The tables from the literature in tests/published: their sources stand in their first lines."""

import csv
from pathlib import Path

FOLDER = Path(__file__).parent / "published"


def rows_of(name: str) -> list[dict[str, str]]:
    """The rows of one table."""
    lines = (FOLDER / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))
