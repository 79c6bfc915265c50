"""Whatever results are written into a sheet stand in the log as they were written."""

import io
from datetime import date
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as some
from hypothesis.extra.django import TestCase
from openpyxl import Workbook

from firings.cones import series
from firings.vocabulary import Atmosphere
from studio.importing.services import take_in
from studio.people.services import add_person
from studio.roles import Role
from tiles.conditions.queries import untrue_copies
from tiles.models import Outcome, Tile
from tiles.vocabulary import FlawKind, Opacity, Severity, Surface, Verdict

GLAZES, BODIES, KILNS = ("Harbour", "Flux L", "Tide"), ("Dune", "Loft"), ("Oriel", "Small one")
HEADINGS = (
    *("Clay", "Layers", "Date", "Kiln", "Cone", "Atmosphere", "Hold", "Surface", "Opacity"),
    *("Run cm", "Flaws", "Verdict", "Remark"),
)

LAYER = some.tuples(some.sampled_from(GLAZES), some.integers(1, 20))
ROW = some.fixed_dictionaries(
    {
        "body": some.sampled_from(BODIES),
        "layers": some.lists(LAYER, min_size=1, max_size=3),
        "day": some.dates(date(2001, 1, 1), date(2030, 1, 1)),
        "kiln": some.sampled_from(KILNS),
        "order": some.integers(1, 38),
        "atmosphere": some.sampled_from(Atmosphere),
        "hold": some.integers(0, 300),
        "surface": some.sampled_from(Surface),
        "opacity": some.sampled_from(Opacity),
        "run_mm": some.none() | some.decimals(0, 500, places=1),
        "flaws": some.dictionaries(some.sampled_from(FlawKind), some.sampled_from(Severity), max_size=3),
        "verdict": some.sampled_from(Verdict),
        "remark": some.sampled_from(("", "blue, thick; runs", "=1+1", "10 % too thin", "“like rain”")),
    }
)


def sheet_of(rows):
    book = Workbook()
    book.active.append(["Our tests"])
    book.active.append(HEADINGS)
    for row in rows:
        cells = [
            row["body"],
            " + ".join(f"{glaze} x{coats}" for glaze, coats in row["layers"]),
            row["day"],
            row["kiln"],
            series.label_of(row["order"]),
            row["atmosphere"].label,
            row["hold"],
            row["surface"].label,
            row["opacity"].label,
            None if row["run_mm"] is None else str(row["run_mm"] / 10).replace(".", ","),
            "; ".join(f"{severity.label} {kind.label}" for kind, severity in row["flaws"].items()),
            row["verdict"].label,
            None,
        ]
        book.active.append(cells)
        if row["remark"]:
            cell = book.active.cell(book.active.max_row, len(cells), row["remark"])
            cell.data_type = "s"
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def told(row):
    return (
        row["body"],
        tuple(row["layers"]),
        row["day"],
        row["kiln"],
        row["order"],
        row["atmosphere"].value,
        row["hold"],
        row["surface"].value,
        row["opacity"].value,
        row["run_mm"],
        tuple(sorted((kind.value, severity.value) for kind, severity in row["flaws"].items())),
        row["verdict"].value,
        row["remark"],
    )


def stands(outcome):
    return (
        outcome.body.name,
        tuple((layer.glaze.name, layer.coats) for layer in outcome.stacked.all()),
        outcome.fired_on,
        outcome.kiln.name,
        outcome.target_order,
        outcome.atmosphere,
        outcome.hold_min,
        outcome.surface,
        outcome.opacity,
        None if outcome.run_mm is None else Decimal(outcome.run_mm),
        tuple(sorted(outcome.flaws.values_list("kind", "severity"))),
        outcome.verdict,
        outcome.remark,
    )


class TestRoundTrip(TestCase):
    @settings(max_examples=25)
    @given(some.lists(ROW, min_size=1, max_size=6))
    def test_results_written_into_a_sheet_read_back_equal_and_only_once(self, rows):
        keeper = add_person("Kit Kerr", Role.KEEPER)
        data = sheet_of(rows)

        report = take_in(data, "results", by=keeper, only_try=False)
        assert [str(one) for one in report.messages] == []
        tiles = Tile.objects.order_by("number").prefetch_related("outcomes")
        assert [stands(tile.outcomes.get()) for tile in tiles] == [told(row) for row in rows]
        assert list(untrue_copies()) == []

        again = take_in(data, "results", by=keeper, only_try=False)
        assert again.unchanged == len(rows)
        assert Outcome.objects.count() == len(rows)
