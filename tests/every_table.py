"""A studio with something in every table, for tests of what must carry all of it: backup, package, move."""

import io
from collections.abc import Collection
from decimal import Decimal

from django.utils import timezone

from firings.curves.services import originals, receive_file
from studio.api.services import make_key
from studio.importing.services import take_in
from studio.models import Backup, Person
from studio.preferences.services import keep_address_if_none
from studio.tables.queries import carried, fingerprint_of
from tests import factories
from tests.tiles.photos import corpus
from tiles.models import (
    CoatLaid,
    ColourReading,
    Flaw,
    Printer,
    PrintHabit,
    PrintItem,
    PrintRun,
    RunReading,
    UsedSheet,
)
from tiles.photos.services import store_photo
from tiles.public.services import publish

LOGGED = b"time,temp\n0,20\n60,40\n"
SHEET = b"Glaze;Notes\nFrom a sheet;first row\n"


def fill_every_table(*, by: Person) -> None:
    """Leave no table that is carried elsewhere without a row; one that a new model brings is missed here by name."""
    factories.ShelfFactory()
    factories.SegmentFactory()
    firing = factories.FiringFactory(fired=True)
    factories.FiringNoteFactory(firing=firing)
    factories.WitnessConeFactory(firing=firing)
    sha256 = receive_file([LOGGED])
    originals().keep(sha256)
    factories.CurveFactory(firing=firing, original_sha256=sha256, samples=bytes(range(256)))
    factories.BatchReadingFactory()
    glaze = factories.GlazeFactory()
    tile = factories.glaze_tile(
        factories.TileFactory(series=factories.SeriesFactory()), (glaze, {"band 1": 1})
    )
    CoatLaid.objects.create(layer=tile.layers.get(), number=1, laid_at=timezone.now(), laid_by=by)
    [outcome, *_] = factories.fired_outcomes(tile, firing)
    outcome.save()
    Flaw.objects.create(outcome=outcome, kind="crazing", severity="slight")
    photo = store_photo(io.BytesIO(corpus.jpeg()), by=by, tile=tile)
    read = {"outcome": outcome, "photo": photo, "read_by": by}
    ColourReading.objects.create(
        **read, lab_l=52.123456789, lab_a=-3.5, lab_b=1e-7, basis="chart", spread_de=1.5, pixel_count=900
    )
    RunReading.objects.create(
        **read,
        line=[0.1, 0.2, 0.3, 0.4],
        run_mm=Decimal("1.5"),
        plus_minus_mm=Decimal("0.2"),
        scale_basis="tile",
    )
    factories.AbsorptionTestFactory()
    factories.LeachReportFactory()
    factories.BoardSlotFactory(tile=tile)
    factories.PlaceFactory()
    factories.SavedSearchFactory(owner=by)
    factories.StudioStandardFactory()
    publish(by=by, tile=tile)
    _printing(by)
    take_in(SHEET, "glazes", by=by, only_try=False)
    make_key(by, "the kiln's display")
    factories.PasskeyFactory(person=by)
    keep_address_if_none("http://studio.example:8000")
    Backup.objects.create(place="/elsewhere/one.zip", sha256="0" * 64, byte_count=1, made_by=by)
    empty = [model._meta.db_table for model in carried() if not model._base_manager.exists()]
    assert not empty, f"no row in {', '.join(empty)}: add one to fill_every_table"


def all_told(*, but: Collection[str]) -> list[str]:
    """A line for each table: its name, how many rows, and a digest of all of them."""
    tables = [model for model in carried() if model._meta.db_table not in but]
    found = [(model._meta.db_table, fingerprint_of(model)) for model in tables]
    return [f"{name} {print_of.count} {print_of.sha256}" for name, print_of in found]


def _printing(by: Person) -> None:
    factories.LabelStockFactory()
    printer = Printer.objects.create(
        name="By the door",
        measured_across_mm=Decimal("100.20"),
        measured_down_mm=Decimal("99.90"),
        measured_left_mm=Decimal("10.10"),
        measured_top_mm=Decimal("9.80"),
    )
    PrintHabit.objects.create(person=by, printer=printer)
    PrintItem.objects.create(person=by, kind="labels", keys=[1], title="Labels", position=1)
    PrintRun.objects.create(person=by, title="Many labels", pages=20)
    UsedSheet.objects.create(person=by, stock_key="own-1", used=[1, 2])
