"""Spreadsheets in requests and answers."""

import csv
from collections.abc import Iterable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from studio.export.cells import inert
from studio.importing.reading import LARGEST_BYTES
from studio.importing.report import Message


def refusal_of(request: HttpRequest) -> str:
    """Why what was sent is not looked at; empty where it is. Larger files are dropped as they arrive."""
    most = min(settings.PHOTO_MAX_BYTES, LARGEST_BYTES)
    if getattr(request, "files_left_out", None) or _sent_bytes(request) > most:
        return f"The file is larger than {most // 2**20} MB. Bring it in in parts, or save it as CSV."
    return ""


def _sent_bytes(request: HttpRequest) -> int:
    return int(getattr(request.FILES.get("file"), "size", None) or 0)


def as_csv(name: str, rows: Iterable[Iterable[object]]) -> HttpResponse:
    """A table to save, which no spreadsheet runs as formulas."""
    answer = HttpResponse(content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    # The mark by which spreadsheets know the encoding.
    answer.write("\ufeff")
    writer = csv.writer(answer)
    writer.writerows([[inert(str(cell)) for cell in row] for row in rows])
    return answer


def message_rows(messages: Iterable[Message]) -> Iterable[tuple[object, ...]]:
    """Messages as rows of a table, the headings first."""
    yield "row", "column", "cell", "what to do", "must be mended"
    for one in messages:
        yield one.row or "", one.column, one.cell, one.words, "yes" if one.stops else "no"
