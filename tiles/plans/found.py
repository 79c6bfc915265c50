"""Small covering arrays and starters that a search found once; found.txt says how. The tests check every one."""

from collections.abc import Iterator
from pathlib import Path


def _lines() -> Iterator[list[str]]:
    text = (Path(__file__).parent / "found.txt").read_text(encoding="utf-8")
    return (line.split() for line in text.splitlines() if line and not line.startswith("#"))


# By factors, levels and strength: the rows.
FOUND = {
    (int(line[1]), int(line[2]), int(line[3])): tuple(tuple(int(level) for level in row) for row in line[4:])
    for line in _lines()
    if line[0] == "array"
}
# Levels with the starter that is turned for them.
STARTERS = tuple((int(line[1]), line[2]) for line in _lines() if line[0] == "starter")
