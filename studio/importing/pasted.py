"""Rows that were typed or pasted instead of a file: cells copied from a spreadsheet, or a name on each line."""

import csv
import io
from collections.abc import Sequence

from studio.importing.fields import RESULTS, Field
from studio.importing.headings import knows_heading
from studio.importing.reading import separator_of

NAME = "Name"


def as_table(text: str, kind: str, fields: Sequence[Field]) -> str:
    r"""The rows as a table with headings. A list of glazes or clay bodies may do without: its first column is the name.

    Without a heading, and without the tabs that copied cells have between them, a line is one name, commas and all.

    >>> as_table("Iron red, thin\r\n\r\n Harbour \n", "glazes", [Field("name", "Name", ("glaze",))])
    'Name\n"Iron red, thin"\nHarbour\n'
    >>> as_table("Harbour\tsatin\n", "glazes", [Field("name", "Name", ("glaze",))])
    'Name\t\nHarbour\tsatin\n'
    """
    lines = [line.strip(" \r") for line in text.split("\n")]
    lines = [line for line in lines if line.strip()]
    if kind == RESULTS or not lines or _has_headings(lines, fields):
        return text
    if "\t" not in "".join(lines):
        told = io.StringIO()
        csv.writer(told, lineterminator="\n").writerows([[NAME], *([line] for line in lines)])
        return told.getvalue()
    width = max(line.count("\t") for line in lines)
    return "\n".join([NAME + "\t" * width, *lines, ""])


def _has_headings(lines: Sequence[str], fields: Sequence[Field]) -> bool:
    first = next(csv.reader(lines[:1], delimiter=separator_of("\n".join(lines))), [])
    return any(knows_heading(cell, fields) for cell in first)
