"""Rows of a plan, made one after another: each row takes the levels that show most of what is still missing."""

from collections.abc import Sequence
from random import Random

from tiles.plans.coverage import Coverage, Open, Row, extends

# So many rows are tried for each that is taken (AETG's idea: Cohen, Dalal, Fredman and Patton 1997, IEEE Trans. Softw.
# Eng. 23:437; page from memory, unverified).
TRIED = 6


def filled(row: Open, coverage: Coverage, missing: set[int], order: Sequence[int]) -> Row:
    """The row with its open places filled in that order, each with the level that shows most of what is missing.

    Ties go to the level after the one of the place before, so that levels take turns.
    """
    made = list(row)
    for factor in order:
        if made[factor] is None:
            made[factor] = _best_level(made, factor, coverage, missing)
    return tuple(level for level in made if level is not None)


def _best_level(made: Open, factor: int, coverage: Coverage, missing: set[int]) -> int:
    levels = coverage.levels[factor]
    gains = [0] * levels
    for first, own, others in coverage.around[factor]:
        number = first
        for other, stride in others:
            level = made[other]
            if level is None:
                break
            number += level * stride
        else:
            for level in range(levels):
                gains[level] += number + level * own in missing
    turn = sum(level or 0 for level in made)
    for level in sorted(range(levels), key=lambda level: (-gains[level], (level - turn) % levels)):
        tried = [*made[:factor], level, *made[factor + 1 :]]
        if not coverage.never or extends(tried, coverage.levels, coverage.never):
            return level
    raise ValueError("no row can hold these levels")  # pragma: no cover: `made` was allowed


def completed(rows: Sequence[Row], coverage: Coverage, *, seed: int = 0) -> list[Row]:
    """These rows and as many more as it takes to show all that is needed."""
    dice = Random(seed)  # nosec B311
    made, missing = list(rows), coverage.missing(rows)
    while missing:
        row = max(
            (_tried_row(coverage, missing, dice) for _ in range(TRIED)),
            key=lambda row: len(missing.intersection(coverage.shown_by(row))),
        )
        made.append(row)
        missing.difference_update(coverage.shown_by(row))
    return made


def _tried_row(coverage: Coverage, missing: set[int], dice: Random) -> Row:
    """A row that shows the missing combination asked for and what goes with it."""
    row: Open = [None] * len(coverage.levels)
    for factor, level in coverage.combination(_any_of(missing, dice)):
        row[factor] = level
    order = list(range(len(row)))
    dice.shuffle(order)
    return filled(row, coverage, missing, order)


def _any_of(missing: set[int], dice: Random) -> int:
    ordered = sorted(missing) if len(missing) < 200 else list(missing)
    return ordered[dice.randrange(len(ordered))]
