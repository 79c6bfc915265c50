"""A result as a row of plain values, the units in the names, and as a line of CSV that no spreadsheet runs."""

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from firings.cones import series
from tiles.conditions.facts import Conditions, LayerFacts
from tiles.conditions.line import conditions_line
from tiles.conditions.stack import stack_words

Row = Mapping[str, Any]

# A spreadsheet takes a cell that begins so for a formula (OWASP, "CSV Injection").
RUNS_AS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def row_of(outcome: Any, conditions: Conditions, photo: str = "") -> dict[str, Any]:
    """All that is known of a result. `outcome` comes from `for_display()`; `photo` is the address of a picture."""
    return {
        "result": outcome.pk,
        "tile": outcome.tile.label,
        "zone": conditions.zone,
        "conditions": conditions_line(conditions),
        "stack": stack_words(conditions.layers),
        "layers": [layer_of(layer) for layer in conditions.layers],
        **_made(outcome, conditions),
        **_fired(conditions),
        **_seen(outcome),
        "series": outcome.tile.series.name if outcome.tile.series else "",
        "photo": photo,
    }


def layer_of(layer: LayerFacts) -> dict[str, Any]:
    """One layer of a stack; coats, or seconds where it was dipped."""
    return {
        "glaze": layer.glaze,
        "lot": layer.lot,
        "method": layer.method,
        "coats": layer.coats,
        "dip_s": plain(layer.dip_s),
    }


def _made(outcome: Any, conditions: Conditions) -> dict[str, Any]:
    return {
        "coats_total": outcome.coats_total,
        "coats_top": outcome.coats_top,
        "body": conditions.body,
        "body_colour": outcome.body.colour_family,
        "body_speckled": outcome.body.speckled,
        "form": conditions.form,
        "textured": conditions.textured,
    }


def _fired(conditions: Conditions) -> dict[str, Any]:
    return {
        "firing": conditions.firing,
        "fired_on": plain(conditions.fired_on),
        "firing_of_this_tile": conditions.firing_count,
        "kiln": conditions.kiln,
        "shelf": conditions.shelf,
        "place": conditions.place,
        "target_cone": cone_words(conditions.target_order),
        "reached_cone": cone_words(conditions.reached_order),
        "reached_cone_number": plain(conditions.reached_number),
        "reached_by": conditions.reached_source,
        "atmosphere": conditions.atmosphere,
        "hold_min": conditions.hold_min,
    }


def _seen(outcome: Any) -> dict[str, Any]:
    return {
        "judged_at": plain(outcome.judged_at),
        "surface": outcome.surface,
        "opacity": outcome.opacity,
        "run_mm": plain(outcome.run_mm),
        "ran_off_the_foot": outcome.runs_off,
        "pooling": outcome.pooling,
        "breaking": outcome.breaking,
        "gloss_60_gu": plain(outcome.gloss_gu),
        "colour_lab_d50_l": outcome.lab_l,
        "colour_lab_d50_a": outcome.lab_a,
        "colour_lab_d50_b": outcome.lab_b,
        "colour_by": outcome.lab_basis,
        "flaws": [{"flaw": flaw.kind, "severity": flaw.severity} for flaw in outcome.flaws.all()],
        "verdict": outcome.verdict,
        "remark": outcome.remark,
    }


def cone_words(order: int | None) -> str:
    return series.label_of(order) if order else ""


def plain(value: Decimal | date | datetime | None) -> Any:
    """A figure as a number, a moment as ISO 8601 writes it."""
    if isinstance(value, Decimal):
        return float(value)
    return value.isoformat() if value is not None else None


def cell(value: Any) -> str:
    """A value as a cell: words that a spreadsheet would run as a formula get an apostrophe before them.

    >>> cell("=1+1"), cell(-3.5), cell(None), cell(True), cell([{"flaw": "crazing", "severity": "slight"}])
    ("'=1+1", '-3.5', '', 'yes', 'crazing slight')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:g}" if isinstance(value, float) and value == int(value) else str(value)
    text = value if isinstance(value, str) else "; ".join(_in_words(part) for part in value)
    return f"'{text}" if text.startswith(RUNS_AS_FORMULA) else text


def _in_words(part: Row) -> str:
    return " ".join(str(value) for value in part.values() if value not in (None, ""))


def csv_lines(names: Sequence[str], rows: Iterable[Row]) -> Iterator[str]:
    """Lines of CSV as RFC 4180 writes them, the names first."""
    yield _line(names)
    for row in rows:
        yield _line([cell(row[name]) for name in names])


def _line(cells: Sequence[str]) -> str:
    written = io.StringIO()
    csv.writer(written).writerow(cells)
    return written.getvalue()
