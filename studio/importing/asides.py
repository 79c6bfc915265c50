"""Rows that hold no record: a remark between the others or below them, a total."""

import re
from collections.abc import Collection, Sequence

from studio.importing.reading import Grid, bare

REMARK, TOTAL = "a remark", "a total"
TOTALS = re.compile(
    r"((grand|sub) ?)?totals?( (number|of|tiles?|glazes?|bodies|results?|rows?|no))*|in all|sum|count|average|mean|"
    r"number of (tiles|glazes|bodies|results)|\d+ (tiles|glazes|bodies|results)( in all)?"
)
# How a cell begins that is a remark wherever it stands.
SAYS_SO = re.compile(r"\s*(n\.?\s?b\.?|notes?|remarks?|comments?|key|legend)\s*[:.–—-]", re.IGNORECASE)
# Narrower tables are lists of names, in which a row has one cell as a rule.
FEWEST_COLUMNS = 3
LETTERS_OF_A_WORD, WORDS_OF_A_SENTENCE = 3, 5
# So many rows with one cell below the table, and no more, are remarks; more are names of which nothing else is known.
MOST_BELOW = 3
# The share of rows up to which it is not the rule that a name stands alone.
FEW = 1 / 3


def asides(grid: Grid, header: int, naming: Collection[int]) -> dict[int, str]:
    """The numbers of rows below the headings that hold a remark or a total, as the spreadsheet counts, and which.

    naming : the columns that hold names, in which a cell alone may be one
    """
    below = _below_the_table(grid, header, naming)
    found = {}
    for at in range(header + 1, len(grid.rows)):
        if which := aside_of(grid.rows[at], naming, is_below=at in below):
            found[grid.numbers[at]] = which
    return found


def aside_of(row: Sequence[str], naming: Collection[int] = (), *, is_below: bool = False) -> str:
    """Whether a row is a remark or a total, or "" where it may be a record.

    >>> aside_of(("Total", "36", "", "")), aside_of(("refired, slowly", "", "", ""))
    ('a total', 'a remark')
    >>> aside_of(("T 7", "", "", "")), aside_of(("Iron red", "", "", ""), {0}), aside_of(("Total", "glaze", "6", ""))
    ('', '', '')
    """
    told = [(place, cell) for place, cell in enumerate(row) if cell]
    if len(row) < 2 or not told:
        return ""
    (place, cell), *others = told
    if TOTALS.fullmatch(_without_figures_behind(cell)):
        return "" if any(any(map(str.isalpha, other)) for _, other in others) else TOTAL
    if others:
        return ""
    if SAYS_SO.match(cell):
        return REMARK
    if len(row) < FEWEST_COLUMNS:
        return ""
    if place in naming:
        return REMARK if is_below or _is_sentence(cell) else ""
    return REMARK if _is_worded(cell) else ""


def bare_of_asides(rows: Sequence[Sequence[str]]) -> Sequence[Sequence[str]]:
    """The rows from which one can tell what columns hold: those with more than one cell, where there are any."""
    if not rows or len(rows[0]) < FEWEST_COLUMNS:
        return rows
    return [row for row in rows if sum(map(bool, row)) > 1 and not aside_of(row)] or rows


def _without_figures_behind(cell: str) -> str:
    """A cell's bare words; a figure behind them, as in Total: 36, is no part of what it is."""
    words = bare(cell)
    return re.sub(r" [\d ]+$", "", words)


def _is_sentence(cell: str) -> bool:
    """Whether what stands where names stand reads as no name."""
    return len(cell.split()) >= WORDS_OF_A_SENTENCE or bool(re.search(r"[,:;!?…]\s|[.!?…]$", cell))


def _is_worded(cell: str) -> bool:
    """Whether a cell has words: more than one, or one without a figure, as no old number has."""
    words = [word for word in bare(cell).split() if len(word) >= LETTERS_OF_A_WORD and word.isalpha()]
    return len(words) > 1 or (bool(words) and not any(map(str.isdigit, cell)))


def _below_the_table(grid: Grid, header: int, naming: Collection[int]) -> Collection[int]:
    """The last rows, where they have one cell each and stand below an empty row, and few rows are a name alone."""
    alone = [at for at in range(header + 1, len(grid.rows)) if sum(map(bool, grid.rows[at])) == 1]
    first = len(grid.rows)
    while first - 1 in alone and first - 1 > header + 1 and not _has_gap(grid, first):
        first -= 1
    if not (header + 1 < first and len(grid.rows) - first <= MOST_BELOW and _has_gap(grid, first)):
        return ()
    names_alone = sum(at < first and not aside_of(grid.rows[at], naming) for at in alone)
    return () if names_alone > (first - header - 1) * FEW else range(first, len(grid.rows))


def _has_gap(grid: Grid, at: int) -> bool:
    """Whether an empty row stands above a row."""
    return 0 < at < len(grid.rows) and grid.numbers[at] - grid.numbers[at - 1] > 1
