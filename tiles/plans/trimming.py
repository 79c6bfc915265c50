"""Fewer rows without new levels: places that show nothing new are opened, and rows that agree become one."""

from collections.abc import Iterable, Sequence

from tiles.plans.coverage import Coverage, Open, Row, extends
from tiles.plans.rows import filled


def opened(rows: Iterable[Sequence[int | None]], coverage: Coverage) -> list[Open]:
    """The rows with every place open that shows nothing the others don't; rows that are all open are left out."""
    made = [list(row) for row in rows]
    times = [0] * len(coverage.needed)
    for row in made:
        for number in coverage.shown_by_open(row):
            times[number] += 1
    for row in sorted(made, key=lambda row: _shown_alone(row, coverage, times)):
        for factor, level in enumerate(row):
            shown = _shown_with(row, factor, coverage)
            if level is not None and all(
                times[number] > 1 or not coverage.needed[number] for number in shown
            ):
                row[factor] = None
                for number in shown:
                    times[number] -= 1
    return [row for row in made if any(level is not None for level in row)]


def _shown_alone(row: Open, coverage: Coverage, times: Sequence[int]) -> int:
    return sum(times[number] == 1 and coverage.needed[number] for number in coverage.shown_by_open(row))


def _shown_with(row: Open, factor: int, coverage: Coverage) -> list[int]:
    found = []
    for first, own, others in coverage.around[factor]:
        level = row[factor]
        number = first if level is None else first + level * own
        for other, stride in others:
            other_level = row[other]
            if other_level is None or level is None:
                break
            number += other_level * stride
        else:
            if level is not None:
                found.append(number)
    return found


def merged(rows: Sequence[Open], coverage: Coverage) -> list[Open]:
    """Rows that agree wherever both are filled become one."""
    made: list[Open] = []
    for row in sorted(rows, key=lambda row: sum(level is None for level in row)):
        for kept in made:
            if all(a is None or b is None or a == b for a, b in zip(kept, row, strict=True)):
                both = [b if a is None else a for a, b in zip(kept, row, strict=True)]
                if not coverage.never or extends(both, coverage.levels, coverage.never):
                    kept[:] = both
                    break
        else:
            made.append(list(row))
    return made


def trimmed(rows: Iterable[Sequence[int | None]], coverage: Coverage) -> list[Row]:
    """The rows after opening and merging as long as that saves any, filled again."""
    made: list[Open] = [list(row) for row in rows]
    while True:
        fewer = merged(opened(made, coverage), coverage)
        if len(fewer) >= len(made):
            return whole(fewer, coverage)
        made = fewer


def whole(rows: Iterable[Open], coverage: Coverage) -> list[Row]:
    """The rows with their open places filled so that they show as much as they can."""
    missing = {number for number, is_needed in enumerate(coverage.needed) if is_needed}
    made = []
    for row in rows:
        missing.difference_update(coverage.shown_by_open(row))
    for row in rows:
        made.append(filled(row, coverage, missing, range(len(row))))
        missing.difference_update(coverage.shown_by(made[-1]))
    return made
