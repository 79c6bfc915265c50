"""A file's rows as columns of values: each distinct cell is read once, whatever the number of rows."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from studio.importing.cells import Misread, is_nothing
from studio.importing.columns import Column
from studio.importing.reading import Grid, filled_down
from studio.importing.report import Message
from studio.importing.told import Told


@dataclass(slots=True)
class Sheet:
    """The rows below the headings that are not left out, by field; and what is to be said of their cells."""

    numbers: list[int]
    columns: dict[str, Column]
    cells: dict[str, list[str]]
    defaults: dict[str, str]
    messages: list[Message] = field(default_factory=list)
    spoiled: set[int] = field(default_factory=set)

    def __len__(self) -> int:
        return len(self.numbers)

    def counted(self, key: str) -> Counter[str]:
        """How often each cell of a column occurs."""
        return Counter(self.cells.get(key, ()))

    def values(self, key: str, read: Callable[[str], Any], nothing: Any = None) -> Sequence[Any]:
        """A column's values; a cell that cannot be read is said and counts as nothing."""
        default = self._read_default(key, read, nothing)
        column = self.cells.get(key)
        if column is None:
            return [default] * len(self.numbers)
        known: dict[str, Any] = {}
        wrong: dict[str, str] = {}
        for cell in dict.fromkeys(column):
            known[cell] = default
            if not is_nothing(cell):
                try:
                    known[cell] = read(cell)
                except Misread as trouble:
                    wrong[cell] = str(trouble)
        if wrong:
            self._complain(key, column, wrong)
        return [known[cell] for cell in column]

    def _read_default(self, key: str, read: Callable[[str], Any], nothing: Any) -> Any:
        told = self.defaults.get(key, "")
        if not told:
            return nothing
        try:
            return read(told)
        except Misread as trouble:
            self.messages.append(Message(0, key, f"Where the sheet says nothing: {trouble}"))
            return nothing

    def _complain(self, key: str, column: Sequence[str], wrong: dict[str, str]) -> None:
        of = self.columns[key]
        for at, cell in enumerate(column):
            if words := wrong.get(cell):
                self.messages.append(Message(self.numbers[at], of.name, words, cell, of.place))
                self.spoiled.add(at)

    def say(self, at: int, key: str, words: str, *, stops: bool = True) -> None:
        """Say something of a row, about one of its columns if it has that."""
        of = self.columns.get(key)
        cell = self.cells[key][at] if of else ""
        self.messages.append(
            Message(
                self.numbers[at], of.name if of else "", words, cell, of.place if of and cell else -1, stops
            )
        )
        if stops:
            self.spoiled.add(at)


def laid_out(grid: Grid, columns: Sequence[Column], told: Told) -> Sheet:
    """The rows below the headings as columns, cells that were mended and cells left empty for "as above" filled in."""
    asides = set(map(int, told.asides))
    left = asides.union(told.left)
    below = range(told.header + 1, len(grid.rows))
    kept = [at for at in below if grid.numbers[at] not in left]
    found: dict[str, list[str]] = {}
    for column in columns:
        if not column.field:
            continue
        # What stands in a remark is nothing that holds for the rows below it.
        cells = ["" if grid.numbers[at] in asides else grid.rows[at][column.place] for at in below]
        if mended := told.mended.get(str(column.place)):
            cells = [mended.get(cell, cell) for cell in cells]
        if column.place in told.above:
            cells = filled_down(cells)
        if left:
            cells = [cells[at - told.header - 1] for at in kept]
        found[column.field] = cells
    numbers = [grid.numbers[at] for at in kept]
    return Sheet(numbers, {one.field: one for one in columns if one.field}, found, told.defaults)
