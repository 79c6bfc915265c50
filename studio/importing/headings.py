"""Where a sheet's headings stand: in one row, or in two, the upper with words over groups of columns."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from studio.importing.fields import Field
from studio.importing.reading import Grid, bare

ROWS_LOOKED_AT = 40


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands over one column: its own words, and those over the group of columns it belongs to.

    >>> Heading("Result", "Surface").words, Heading("Clay").words
    ('Surface: Result', 'Clay')
    """

    own: str
    group: str = ""

    @property
    def words(self) -> str:
        return f"{self.group}: {self.own}" if self.group else self.own

    @property
    def together(self) -> tuple[str, ...]:
        """Both words as one heading, in either order: "coats from" of Coats over From."""
        return (bare(f"{self.group} {self.own}"), bare(f"{self.own} {self.group}")) if self.group else ()


def known_headings(fields: Sequence[Field]) -> dict[str, str]:
    """The headings people write, bare, with the key of the field that each names."""
    known: dict[str, str] = {}
    for field in fields:
        for heading in (*field.headings, field.label, field.key):
            known.setdefault(bare(heading), field.key)
    return known


def knows_heading(cell: str, fields: Sequence[Field]) -> bool:
    """Whether a cell is a heading that people write over one of these columns."""
    return bare(cell) in known_headings(fields)


def heading_row(grid: Grid, fields: Sequence[Field]) -> int:
    """Where the headings stand among the rows: the row with most cells that are known headings.

    Where that row has the words over groups of columns, it is the row below, which has the columns' own. Where none is
    known it is the first with two cells or more, all of them words. The sheet's last row heads nothing.
    """
    known = known_headings(fields)
    rows = grid.rows[:-1][:ROWS_LOOKED_AT]
    scores = [_score(row, known) for row in rows]
    best = max(range(len(rows)), key=lambda at: (scores[at], -at), default=0)
    if scores and scores[best]:
        return best + 1 if best + 1 < len(rows) and _heads_groups(grid, best, known) else best
    for at, row in enumerate(rows):
        told = [cell for cell in row if cell]
        if len(told) > 1 and not _has_figures(told):
            return at
    return next((at for at, row in enumerate(rows) if sum(map(bool, row)) > 1), 0)


def headings_of(grid: Grid, header: int, fields: Sequence[Field]) -> list[Heading]:
    """What stands over each column, with the words over its group where the row above has such."""
    own = grid.rows[header]
    above = _group_row(grid, header, known_headings(fields))
    if above is None:
        return [Heading(cell) for cell in own]
    over = grid.rows[above]
    found = []
    for cell, alone, group in zip(own, over, _spread(grid, above, own), strict=True):
        words = cell or alone
        found.append(Heading(words, group if bare(group) != bare(words) else ""))
    return found


def group_row(grid: Grid, header: int, fields: Sequence[Field]) -> int:
    """The number of the row with words over groups of columns, as the spreadsheet counts; 0 where there is none."""
    above = _group_row(grid, header, known_headings(fields))
    return grid.numbers[above] if above is not None else 0


def _score(row: Sequence[str], known: Mapping[str, str]) -> int:
    return len({known[word] for cell in row if (word := bare(cell)) in known})


def _has_figures(told: Sequence[str]) -> bool:
    return any(any(letter.isdigit() for letter in cell) for cell in told)


def _are_adjoining(grid: Grid, above: int) -> bool:
    return grid.numbers[above + 1] - grid.numbers[above] == 1


def _heads_groups(grid: Grid, at: int, known: Mapping[str, str]) -> bool:
    """Whether the row below has the columns' own headings: words alone, some of them where this row has none."""
    over, own = grid.rows[at], grid.rows[at + 1]
    told = [cell for cell in own if cell]
    fills_a_gap = any(cell and not above for cell, above in zip(own, over, strict=True))
    if not fills_a_gap or _has_figures(told) or not _are_adjoining(grid, at):
        return False
    over_each = _spread(grid, at, own)
    score = sum(
        bare(cell) in known or not known.keys().isdisjoint(Heading(cell, group).together)
        for cell, group in zip(own, over_each, strict=True)
        if cell
    )
    return bool(score) if grid.spans(at) else score > 1 and score * 2 >= len(told)


def _group_row(grid: Grid, header: int, known: Mapping[str, str]) -> int | None:
    """The row above the headings where it has words over groups of columns; a sheet's title is none."""
    above = header - 1
    if above < 0 or not _are_adjoining(grid, above):
        return None
    over = grid.rows[above]
    told = [place for place, cell in enumerate(over) if cell]
    is_known = any(bare(over[place]) in known for place in told)
    return above if is_known and told != [0] and not any(over[place][0].isdigit() for place in told) else None


def _spread(grid: Grid, above: int, own: Sequence[str]) -> list[str]:
    """The words over groups of columns, written over each column: as far as cells are merged, else to the next word.

    A word with nothing below it heads its own column and no group.
    """
    over = grid.rows[above]
    found = list(over)
    if spans := grid.spans(above):
        for left, right in spans:
            found[left : right + 1] = [over[left]] * (min(right, len(over) - 1) - left + 1)
        return found
    last = ""
    for place, cell in enumerate(over):
        if cell:
            last = cell if own[place] else ""
        elif own[place]:
            found[place] = last
    return found
