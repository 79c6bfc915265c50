"""The address of a range sheet is the sheet: what stands down, what across, what is held."""

from collections.abc import Mapping
from urllib.parse import urlencode

from tiles.ranges.axes import Axis
from tiles.ranges.matrix import Asked

ROWS, COLUMNS = "rows", "columns"
LONGEST = 60


def read(said: Mapping[str, str], usual: Asked) -> Asked:
    """What an address asks for; what it does not say, or says in error, is as usual.

    One condition cannot stand down and across at once: then the columns give way.
    """
    if ROWS not in said and COLUMNS not in said:
        return usual
    rows = _axis(said.get(ROWS, ""), usual.rows)
    columns = _axis(said.get(COLUMNS, ""), usual.columns)
    if columns is rows:
        columns = next(axis for axis in (usual.columns, usual.rows, *Axis) if axis is not rows)
    held = {
        axis: level
        for axis in Axis
        if axis not in (rows, columns) and 0 < len(level := said.get(axis.value, "")) <= LONGEST
    }
    return Asked(rows, columns, held)


def _axis(said: str, usual: Axis) -> Axis:
    return Axis(said) if said in Axis.values() else usual


def write(asked: Asked) -> str:
    """The query string of a sheet, the same for the same sheet.

    >>> write(Asked(Axis.BODY, Axis.CONE, {Axis.OVER: "none"}))
    'rows=body&columns=cone&over=none'
    """
    held = [(axis.value, asked.held[axis]) for axis in Axis if axis in asked.held]
    return urlencode([(ROWS, asked.rows.value), (COLUMNS, asked.columns.value), *held])
