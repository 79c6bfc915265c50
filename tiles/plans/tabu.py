"""A search for a plan of a given number of rows: mend one missing combination after another.

After Nurmela 2004, "Upper bounds for covering arrays by tabu search", Discrete Appl. Math. 138:143 (page from memory,
unverified): take a missing combination at random, look at the rows that need one other level to show it, change the one
that costs least, and for a while do not change it back.
"""

from collections.abc import Sequence
from random import Random

from tiles.plans.coverage import Coverage, Row, breaks


class Mending:
    """Rows with what they miss; `steps` are left to mend them."""

    def __init__(self, rows: Sequence[Row], coverage: Coverage, *, seed: int = 0) -> None:
        self.coverage = coverage
        # Repeatable on purpose; nothing secret hangs on it.
        self.dice = Random(seed)  # nosec B311
        self.rows = [list(row) for row in rows]
        self.times = [0] * len(coverage.needed)
        for row in self.rows:
            for number in coverage.shown_by(row):
                self.times[number] += 1
        # The missing combinations and where each stands in that list.
        self.missing = [n for n, needed in enumerate(coverage.needed) if needed and not self.times[n]]
        self.place = {number: place for place, number in enumerate(self.missing)}
        self.barred: dict[tuple[int, int, int], int] = {}

    def drop_least(self) -> None:
        """Take away the row that alone shows least."""
        row = min(self.rows, key=self._shown_alone)
        self.rows.remove(row)
        for number in self.coverage.shown_by(row):
            self.times[number] -= 1
            if not self.times[number] and self.coverage.needed[number]:
                self._miss(number)

    def mend(self, steps: int) -> int:
        """Mend until nothing is missing or the steps are used; returns how many are left."""
        fewest = len(self.missing)
        while self.missing and steps:
            steps -= 1
            self._step(steps, fewest)
            fewest = min(fewest, len(self.missing))
        return steps

    def _step(self, now: int, fewest: int) -> None:
        wanted = self.coverage.combination(self.missing[self.dice.randrange(len(self.missing))])
        best, ways = None, []
        for place, row in enumerate(self.rows):
            change = _one_change(row, wanted)
            if change is None:
                continue
            cost = self._cost(row, *change)
            if best is not None and cost > best:
                continue
            is_barred = self.barred.get((place, *change), now + 1) <= now
            if is_barred and len(self.missing) + cost >= fewest:
                continue
            if self._is_forbidden(row, *change):
                continue
            ways = [(place, *change)] if best is None or cost < best else [*ways, (place, *change)]
            best = cost
        if ways:
            self._change(*self.dice.choice(ways), until=now - 1 - self.dice.randrange(10))
        else:
            self._force(wanted)

    def _force(self, wanted: Sequence[tuple[int, int]]) -> None:
        """No row is one change away: bring one nearer."""
        place, (factor, level) = self.dice.randrange(len(self.rows)), self.dice.choice(wanted)
        row = self.rows[place]
        if row[factor] != level and not self._is_forbidden(row, factor, level):
            self._change(place, factor, level, until=-1)

    def _is_forbidden(self, row: Sequence[int], factor: int, level: int) -> bool:
        never = self.coverage.never
        return bool(never) and breaks([*row[:factor], level, *row[factor + 1 :]], never)

    def _cost(self, row: list[int], factor: int, level: int) -> int:
        """How many more combinations would be missing."""
        old, times, needed, cost = row[factor], self.times, self.coverage.needed, 0
        for base, own in self.coverage.bases(row, factor):
            lost, won = base + old * own, base + level * own
            cost += (times[lost] == 1 and needed[lost]) - (not times[won] and needed[won])
        return cost

    def _change(self, place: int, factor: int, level: int, *, until: int) -> None:
        row = self.rows[place]
        old = row[factor]
        for base, own in self.coverage.bases(row, factor):
            lost, won = base + old * own, base + level * own
            self.times[lost] -= 1
            if not self.times[lost] and self.coverage.needed[lost]:
                self._miss(lost)
            if not self.times[won] and self.coverage.needed[won]:
                self._find(won)
            self.times[won] += 1
        row[factor] = level
        self.barred[place, factor, old] = until

    def _miss(self, number: int) -> None:
        self.place[number] = len(self.missing)
        self.missing.append(number)

    def _find(self, number: int) -> None:
        place, last = self.place.pop(number), self.missing.pop()
        if last != number:
            self.missing[place], self.place[last] = last, place

    def _shown_alone(self, row: Sequence[int]) -> int:
        return sum(self.times[n] == 1 and bool(self.coverage.needed[n]) for n in self.coverage.shown_by(row))


def _one_change(row: Sequence[int], wanted: Sequence[tuple[int, int]]) -> tuple[int, int] | None:
    """The one factor and level that keep a row from showing a combination; None where it takes more."""
    change = None
    for factor, level in wanted:
        if row[factor] != level:
            if change is not None:
                return None
            change = (factor, level)
    return change


def with_fewer_rows(rows: Sequence[Row], coverage: Coverage, *, steps: int, seed: int = 0) -> list[Row]:
    """The plan with as many rows fewer as the steps allow, never fewer than `coverage.fewest`."""
    found = list(rows)
    while len(found) > coverage.fewest and steps:
        mending = Mending(found, coverage, seed=seed)
        mending.drop_least()
        steps = mending.mend(steps)
        if mending.missing:
            break
        found = [tuple(row) for row in mending.rows]
    return found
