"""A glaze's results as a range sheet: read from memory where they are held, else from the database."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple
from urllib.parse import urlencode

import numpy as np
from django.urls import reverse

from firings.models import Firing
from tiles.columns.answers import Answers
from tiles.columns.held import NUMBER_BITS, Held, Read
from tiles.columns.queries import lookups, read_results, standing
from tiles.columns.values import HEAT, NAMED, RUN, SEEN, STACK, WARE, Lookups
from tiles.conditions.stack import is_dip
from tiles.models import Glaze, Outcome, Photo
from tiles.ranges import address
from tiles.ranges.axes import TOGETHER, Axis, Fired, Level, known
from tiles.ranges.matrix import Asked, Cell, Matrix, Seen, crossed_besides, laid_out, levels_seen, usual
from tiles.search.cards.queries import photos_of
from tiles.search.filters import layered_with
from tiles.search.queries import searchable
from tiles.tray.parts.queries import PhotoPart

KEPT = (HEAT, STACK, SEEN, RUN, WARE)
MOST_COATS = 8
# What the planner calls what our axes hold: there "under" is what goes under a glaze.
IN_PLANNER = {Axis.OVER: "under", Axis.UNDER: "over"}


@dataclass(frozen=True, slots=True)
class Pictured:
    """A cell with the result that stands for it and its photo; `plan` is where an empty one is planned."""

    cell: Cell
    outcome: Outcome | None
    photo: Photo | PhotoPart | None
    plan: str
    found: str

    @property
    def key(self) -> str:
        """Names the cell in a form."""
        return f"{self.cell.row.value}|{self.cell.column.value}"


@dataclass(frozen=True, slots=True)
class Line:
    """A row of the sheet."""

    level: Level
    cells: tuple[Pictured, ...]


@dataclass(frozen=True, slots=True)
class Menu:
    """A condition that stands neither down nor across: its levels, and the one it is held at."""

    axis: Axis
    levels: tuple[Level, ...]
    level: str

    @property
    def words(self) -> str:
        """What it is held at; nothing where it is left open."""
        return next((one.words for one in self.levels if one.value == self.level), "")


@dataclass(frozen=True, slots=True)
class RangeSheet:
    """One glaze laid out as a picture matrix, with nothing private in it: conditions, what was seen, photos."""

    glaze: Glaze
    asked: Asked
    matrix: Matrix
    lines: tuple[Line, ...]
    menus: tuple[Menu, ...]
    elsewhere: int

    @property
    def query(self) -> str:
        return address.write(self.asked)

    @property
    def print_key(self) -> str:
        """What the print tray calls it by."""
        return f"{self.glaze.pk}?{self.query}"

    @property
    def open_words(self) -> list[str]:
        """The conditions that differ within a cell without being shown."""
        return [one.axis.label for one in self.menus if not one.level and len(one.levels) > 1]

    @property
    def held_words(self) -> list[str]:
        return [one.words for one in self.menus if one.words]


class FiredWith(NamedTuple):
    """All fired results with a glaze anywhere in the stack, the names of what they are of, and what was made of them.

    kept : answers about these results, which stand as long as they do
    """

    found: Sequence[Fired]
    names: Lookups
    kept: Answers

    def levels(self, glaze: int) -> Seen:
        """The levels of each axis that occur among them."""
        return self.kept.of(("levels", glaze), lambda: levels_seen(self.found, glaze))


def fired_with(glaze: Glaze) -> FiredWith:
    held = standing()
    if held is not None:
        found = held.large.of(("fired", glaze.pk), lambda: _of_held(held, glaze.pk), len)
        return FiredWith(found, held.lookups, held.large)
    keys = list(searchable().filter(layered_with(glaze=glaze)).order_by("pk").values_list("pk", flat=True))
    return FiredWith([one for read in read_results(keys) for one in _of_read(read)], lookups(), Answers())


def _of_held(held: Held, glaze: int) -> list[Fired]:
    has_it = held.facets["glaze"].answering(lambda key: key == glaze)
    rows = np.flatnonzero(has_it[held.rows.codes[STACK]])
    days, numbers = (-held.rows.late[rows]) >> NUMBER_BITS, held.numbers[rows]
    columns = [
        [held.books[column].values[code] for code in held.rows.codes[column][rows].tolist()]
        for column in KEPT
    ]
    return list(map(Fired, held.rows.keys[rows].tolist(), days.tolist(), numbers.tolist(), *columns))


def _of_read(read: Read) -> list[Fired]:
    columns = [[NAMED[column]._make(value) for value in read.values[column]] for column in KEPT]
    return list(map(Fired, read.keys, read.days, read.numbers, *columns))


def range_sheet(glaze: Glaze, said: Mapping[str, str]) -> RangeSheet:
    """The sheet an address asks for, in a number of queries that does not grow."""
    found, names, kept = fired = fired_with(glaze)
    seen = fired.levels(glaze.pk)
    asked = address.read(said, usual(seen))
    wanted = _wanted(glaze, found)
    question = "range", glaze.pk, address.write(asked), *map(tuple, wanted.values())
    matrix = kept.of(question, lambda: laid_out(found, glaze.pk, asked, wanted, names))
    best = [cell.best for line in matrix.cells for cell in line if cell.best]
    shown = shown_outcomes(best)
    photos = photos_of(list(shown.values()), looked_into=False)
    lines = tuple(
        Line(line[0].row, tuple(_pictured(glaze, asked, cell, shown, photos) for cell in line))
        for line in matrix.cells
        if line
    )
    menus = tuple(
        Menu(axis, tuple(known(axis, sorted(seen[axis]), names)), asked.held.get(axis, ""))
        for axis in Axis
        if axis not in (asked.rows, asked.columns)
    )
    return RangeSheet(glaze, asked, matrix, lines, menus, len(found) - matrix.results)


def _wanted(glaze: Glaze, found: Sequence[Fired]) -> dict[Axis, Sequence[str]]:
    """Levels the glaze is meant for, though nothing stands there: cones of its range fired here, its label's coats."""
    low, high = glaze.cone_low_order, glaze.cone_high_order or glaze.cone_low_order
    cones: list[str] = []
    if found and low is not None and high is not None:
        targets = Firing.objects.glazing().filter(target_order__range=(low, high)).order_by()
        fired_to = set(targets.values_list("target_order", flat=True))
        cones = [str(order) for order in sorted({low, high, *fired_to})]
    most = min(max(glaze.coats_high or 0, glaze.coats_low or 0), MOST_COATS)
    return {Axis.CONE: cones, Axis.COATS: [str(coats) for coats in range(1, most + 1)] if found else []}


def shown_outcomes(keys: Iterable[int]) -> dict[int, Outcome]:
    """Results by their keys with what a cell says of them; two queries."""
    found = Outcome.objects.filter(pk__in=list(keys))
    return found.select_related("tile", "zone", "firing").prefetch_related("flaws").in_bulk()


def _pictured(
    glaze: Glaze,
    asked: Asked,
    cell: Cell,
    shown: Mapping[int, Outcome],
    photos: Mapping[int, Photo | PhotoPart],
) -> Pictured:
    outcome = shown.get(cell.best or 0)
    at = {asked.rows: cell.row.value, asked.columns: cell.column.value}
    query = f"{address.write(asked)}&{urlencode({'row': cell.row.value, 'column': cell.column.value})}"
    found = f"{reverse('tiles:ranges:cell', args=[glaze.pk])}?{query}"
    plan = "" if outcome else plan_address(glaze, asked, [at])
    return Pictured(cell, outcome, photos.get(outcome.pk) if outcome else None, plan, found)


def cell_of(glaze: Glaze, said: Mapping[str, str]) -> tuple[RangeSheet, Cell] | None:
    """The sheet, and its cell at the row and column that are said; None where there is no such place."""
    sheet = range_sheet(glaze, said)
    at = said.get("row", ""), said.get("column", "")
    cells = [cell for line in sheet.matrix.cells for cell in line]
    return next(((sheet, cell) for cell in cells if (cell.row.value, cell.column.value) == at), None)


def plan_address(glaze: Glaze, asked: Asked, cells: Sequence[Mapping[Axis, str]]) -> str:
    """Where a series for empty cells is planned: their levels, and rules against all that crossing them would add."""
    levels: dict[str, dict[str, None]] = {"glaze": {str(glaze.pk): None}}
    held = {axis: level for axis, level in asked.held.items() if level}
    for cell in cells:
        for axis, level in {**held, **cell}.items():
            if is_planned(axis, level):
                levels.setdefault(in_planner(axis), {})[level] = None
    said = [(name, level) for name, known in levels.items() for level in known]
    rules = [
        ("rule", "|".join((in_planner(asked.rows), row, "with", in_planner(asked.columns), column)))
        for row, column in crossed_besides([(cell[asked.rows], cell[asked.columns]) for cell in cells])
        if is_planned(asked.rows, row) and is_planned(asked.columns, column)
    ]
    return f"{reverse('tiles:planner:new')}?{urlencode(said + rules)}"


def is_planned(axis: Axis, level: str) -> bool:
    """Whether the planner knows such a level: coats, one glaze under and one over; a stack of three or a dip is not."""
    return TOGETHER not in level and not (axis is Axis.COATS and is_dip(level))


def in_planner(axis: Axis) -> str:
    return IN_PLANNER.get(axis, axis.value)


def plan_of_cells(glaze: Glaze, said: Mapping[str, str], ticked: Sequence[str]) -> str:
    """Where the ticked cells of a sheet are planned; with none ticked, all that are empty."""
    sheet = range_sheet(glaze, said)
    empty = [
        {sheet.asked.rows: one.cell.row.value, sheet.asked.columns: one.cell.column.value}
        for line in sheet.lines
        for one in line.cells
        if not one.cell.keys and (one.key in ticked or not ticked)
    ]
    return plan_address(glaze, sheet.asked, empty)


def asked_of(glaze: Glaze, said: Mapping[str, str]) -> Asked:
    """The sheet an address asks for, without its results."""
    return address.read(said, usual(fired_with(glaze).levels(glaze.pk)))
