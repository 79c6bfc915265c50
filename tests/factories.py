"""One factory per model. Each states only what the database demands; tests state what matters to them."""

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import factory
from factory.django import DjangoModelFactory

from firings.cones import series
from firings.models import Curve, Firing, FiringNote, Kiln, Programme, Segment, Shelf, WitnessCone
from firings.vocabulary import FiringState
from studio.models import Passkey, Person
from tiles.conditions import services as conditions
from tiles.models import (
    AbsorptionPiece,
    AbsorptionTest,
    BatchReading,
    Board,
    BoardSlot,
    ClayBody,
    Coverage,
    FormZone,
    Glaze,
    GlazeBatch,
    LabelStock,
    Layer,
    LeachFigure,
    LeachReport,
    Outcome,
    Photo,
    PhotoFiling,
    Place,
    Placement,
    SavedSearch,
    Series,
    StudioStandard,
    Tile,
    TileForm,
    Zone,
)
from tiles.unloading.judgement import Judgement
from tiles.unloading.services import judge_zones
from tiles.vocabulary import Face, ZoneKind

CONE_04, CONE_5, CONE_6, CONE_10 = 20, 28, 30, 34
# name, kind, face, textured, x, y, width, height in mm
THREE_BANDS = (
    ("band 1", ZoneKind.BAND, Face.FRONT, False, 5, 5, 20, 60),
    ("band 2", ZoneKind.BAND, Face.FRONT, False, 25, 5, 20, 60),
    ("band 3", ZoneKind.BAND, Face.FRONT, False, 45, 5, 20, 60),
    ("texture", ZoneKind.TEXTURE, Face.FRONT, True, 5, 65, 60, 20),
    ("back", ZoneKind.BACK, Face.BACK, False, 5, 5, 60, 80),
)


class PersonFactory(DjangoModelFactory[Person]):
    class Meta:
        model = Person

    username = factory.Sequence(lambda n: f"person{n}")
    name = factory.Sequence(lambda n: f"Person {n}")


class PasskeyFactory(DjangoModelFactory[Passkey]):
    class Meta:
        model = Passkey

    person = factory.SubFactory(PersonFactory)
    name = "my phone"
    credential_id = factory.Sequence(lambda n: f"passkey-{n}")
    public_key = bytes(range(77))
    person_handle = "aGFuZGxl"
    site = "localhost"
    transports = ["internal"]


class KilnFactory(DjangoModelFactory[Kiln]):
    class Meta:
        model = Kiln

    name = factory.Sequence(lambda n: f"Kiln {n}")


class ShelfFactory(DjangoModelFactory[Shelf]):
    class Meta:
        model = Shelf

    kiln = factory.SubFactory(KilnFactory)
    position = factory.Sequence(lambda n: n + 1)
    width_mm = 400
    depth_mm = 400
    height_mm = 150


class ProgrammeFactory(DjangoModelFactory[Programme]):
    class Meta:
        model = Programme

    name = factory.Sequence(lambda n: f"Programme {n}")


class SegmentFactory(DjangoModelFactory[Segment]):
    class Meta:
        model = Segment

    programme = factory.SubFactory(ProgrammeFactory)
    position = factory.Sequence(lambda n: n + 1)
    rate_c_per_h = Decimal(60)
    target_c = Decimal(1222)


class FiringFactory(DjangoModelFactory[Firing]):
    """A planned glaze firing to cone 6; `fired=True` makes it one that has been through the fire."""

    class Meta:
        model = Firing

    class Params:
        fired = factory.Trait(
            state=FiringState.FIRED.value,
            started_at=datetime(2026, 10, 14, 7, 0, tzinfo=UTC),
            reached_number=factory.LazyAttribute(
                lambda firing: series.of_order(firing.reached_order).number if firing.reached_order else None
            ),
            reached_order=CONE_6,
            reached_source="target",
        )

    # Far from the numbers that tests choose themselves.
    number = factory.Sequence(lambda n: 3_001 + n)
    kiln = factory.SubFactory(KilnFactory)
    target_order = CONE_6


class FiringNoteFactory(DjangoModelFactory[FiringNote]):
    class Meta:
        model = FiringNote

    firing = factory.SubFactory(FiringFactory)
    at = datetime(2026, 10, 14, 12, 0, tzinfo=UTC)
    text = "Cracked the lid."


class WitnessConeFactory(DjangoModelFactory[WitnessCone]):
    class Meta:
        model = WitnessCone

    firing = factory.SubFactory(FiringFactory)
    order = CONE_6


class CurveFactory(DjangoModelFactory[Curve]):
    class Meta:
        model = Curve

    firing = factory.SubFactory(FiringFactory)
    original_name = "log.csv"
    original_sha256 = factory.Sequence(lambda n: f"{n:064x}")
    sample_count = 2
    samples = b""


class ClayBodyFactory(DjangoModelFactory[ClayBody]):
    class Meta:
        model = ClayBody

    name = factory.Sequence(lambda n: f"Body {n}")


class GlazeFactory(DjangoModelFactory[Glaze]):
    class Meta:
        model = Glaze

    name = factory.Sequence(lambda n: f"Glaze {n}")


class GlazeBatchFactory(DjangoModelFactory[GlazeBatch]):
    class Meta:
        model = GlazeBatch

    glaze = factory.SubFactory(GlazeFactory)
    lot = factory.Sequence(lambda n: f"26-{n:03}")


class BatchReadingFactory(DjangoModelFactory[BatchReading]):
    class Meta:
        model = BatchReading

    batch = factory.SubFactory(GlazeBatchFactory)
    taken_on = date(2026, 10, 14)
    specific_gravity = Decimal("1.45")


class TileFormFactory(DjangoModelFactory[TileForm]):
    """A form of three bands, a texture patch and the back; `zones=()` makes one without zones."""

    class Meta:
        model = TileForm
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Form {n}")
    width_mm = 70
    height_mm = 110

    @factory.post_generation
    def zones(self, create: bool, extracted: Any, **kwargs: Any) -> None:
        for position, zone in enumerate(THREE_BANDS if extracted is None else extracted, start=1):
            name, kind, face, textured, x, y, width, height = zone
            FormZone.objects.create(
                form=self,
                position=position,
                name=name,
                kind=kind.value,
                face=face.value,
                textured=textured,
                x_mm=x,
                y_mm=y,
                width_mm=width,
                height_mm=height,
            )


class SeriesFactory(DjangoModelFactory[Series]):
    class Meta:
        model = Series

    name = factory.Sequence(lambda n: f"Series {n}")


class TileFactory(DjangoModelFactory[Tile]):
    """A tile with its form's zones and no glaze yet."""

    class Meta:
        model = Tile
        skip_postgeneration_save = True

    # Far from the numbers that tests choose themselves.
    number = factory.Sequence(lambda n: 20_001 + n)
    form = factory.SubFactory(TileFormFactory)
    body = factory.SubFactory(ClayBodyFactory)

    @factory.post_generation
    def zones(self, create: bool, extracted: Any, **kwargs: Any) -> None:
        for zone in self.form.zones.order_by("position"):
            Zone.objects.create(
                tile=self,
                form_zone=zone,
                position=zone.position,
                name=zone.name,
                kind=zone.kind,
                face=zone.face,
                textured=zone.textured,
                area_cm2=zone.area_cm2,
            )


class LayerFactory(DjangoModelFactory[Layer]):
    class Meta:
        model = Layer

    tile = factory.SubFactory(TileFactory)
    position = factory.LazyAttribute(lambda layer: layer.tile.layers.count() + 1)
    glaze = factory.SubFactory(GlazeFactory)


class CoverageFactory(DjangoModelFactory[Coverage]):
    class Meta:
        model = Coverage

    layer = factory.SubFactory(LayerFactory)
    zone = factory.LazyAttribute(lambda coverage: coverage.layer.tile.zones.first())
    coats = 1


class PlacementFactory(DjangoModelFactory[Placement]):
    class Meta:
        model = Placement

    tile = factory.SubFactory(TileFactory)
    firing = factory.SubFactory(FiringFactory)
    sequence = factory.LazyAttribute(lambda placement: placement.tile.placements.count() + 1)


class PhotoFactory(DjangoModelFactory[Photo]):
    """A row alone: tests that need the file store one through the photo services."""

    class Meta:
        model = Photo

    sha256 = factory.Sequence(lambda n: f"{n:064x}")
    format = "JPEG"
    width = 1200
    height = 1600
    byte_count = 1000


class PhotoFilingFactory(DjangoModelFactory[PhotoFiling]):
    class Meta:
        model = PhotoFiling

    photo = factory.SubFactory(PhotoFactory)
    tile = factory.SubFactory(TileFactory)


class BoardFactory(DjangoModelFactory[Board]):
    class Meta:
        model = Board

    name = factory.Sequence(lambda n: f"Board {n}")


class BoardSlotFactory(DjangoModelFactory[BoardSlot]):
    class Meta:
        model = BoardSlot

    board = factory.SubFactory(BoardFactory)
    row = 1
    column = factory.Sequence(lambda n: n + 1)


class PlaceFactory(DjangoModelFactory[Place]):
    class Meta:
        model = Place

    name = factory.Sequence(lambda n: f"Box {n}")


class SavedSearchFactory(DjangoModelFactory[SavedSearch]):
    class Meta:
        model = SavedSearch

    name = factory.Sequence(lambda n: f"Search {n}")
    owner = factory.SubFactory(PersonFactory)


class StudioStandardFactory(DjangoModelFactory[StudioStandard]):
    """Two cones, one clay body, two coats."""

    class Meta:
        model = StudioStandard

    name = factory.Sequence(lambda n: f"Standard {n}")

    @factory.lazy_attribute
    def levels(self) -> dict[str, list[int]]:
        return {"cones": [CONE_5, CONE_6], "bodies": [ClayBodyFactory().pk], "coats": [1, 2]}


class LabelStockFactory(DjangoModelFactory[LabelStock]):
    """A4, 3 × 8 labels of 63.5 × 33.9 mm."""

    class Meta:
        model = LabelStock

    name = factory.Sequence(lambda n: f"Stock {n}")
    sheet_width_mm = Decimal(210)
    sheet_height_mm = Decimal(297)
    columns = 3
    rows = 8
    label_width_mm = Decimal("63.5")
    label_height_mm = Decimal("33.9")
    margin_left_mm = Decimal("7.2")
    margin_top_mm = Decimal("12.9")
    pitch_x_mm = Decimal("66.0")
    pitch_y_mm = Decimal("33.9")


def glaze_tile(tile: Tile, *rows: tuple[Glaze, dict[str, int]], after_firings: int = 0, **layer: Any) -> Tile:
    """Lay glazes on a tile, bottom to top: each row is a glaze and the coats on each zone by its name."""
    zones = {zone.name: zone for zone in tile.zones.all()}
    for glaze, coats in rows:
        laid = LayerFactory(tile=tile, glaze=glaze, after_firings=after_firings, **layer)
        for name, number in coats.items():
            Coverage.objects.create(layer=laid, zone=zones[name], coats=number)
    return tile


def fired_outcomes(tile: Tile, firing: Firing, **placement: Any) -> list[Outcome]:
    """Put a glazed tile in a firing and return its outcomes by zone, conditions true."""
    placed = PlacementFactory(tile=tile, firing=firing, **placement)
    conditions.make_outcomes([placed.pk])
    return list(Outcome.objects.for_display().filter(placement=placed).order_by("zone__position"))


class AbsorptionTestFactory(DjangoModelFactory[AbsorptionTest]):
    """Five pieces that take up 2 %; `pieces=()` makes one without pieces."""

    class Meta:
        model = AbsorptionTest
        skip_postgeneration_save = True

    body = factory.SubFactory(ClayBodyFactory)
    cone_order = CONE_6
    tested_on = date(2026, 10, 14)
    tested_by = "Rowan Reed"

    @factory.post_generation
    def pieces(self: AbsorptionTest, create: bool, given: Any, **_: Any) -> None:
        masses = ((100, 102, None),) * 5 if given is None else given
        for position, (dry_g, wet_g, suspended_g) in enumerate(masses, start=1):
            AbsorptionPiece.objects.create(
                test=self, position=position, dry_g=dry_g, wet_g=wet_g, suspended_g=suspended_g
            )


class LeachReportFactory(DjangoModelFactory[LeachReport]):
    """Lead far below the limit of the European Union for what can be filled; `figures=()` makes one without figures."""

    class Meta:
        model = LeachReport
        skip_postgeneration_save = True

    glaze = factory.SubFactory(GlazeFactory)
    body = factory.SubFactory(ClayBodyFactory)
    cone_order = CONE_6
    article = "mug, 0.3 l"
    laboratory = "Laboratory by the river"
    report_number = factory.Sequence(lambda n: f"R-{n}")
    sampled_on = date(2026, 10, 3)
    rule = "eu_filled"

    @factory.post_generation
    def figures(self: LeachReport, create: bool, given: Any, **_: Any) -> None:
        lines = (("Pb", "0.02"),) if given is None else given
        for position, (element, amount, *less) in enumerate(lines, start=1):
            LeachFigure.objects.create(
                report=self, position=position, element=element, amount=Decimal(amount), is_less=bool(less)
            )


def record_judgement(outcome: Outcome, judgement: Judgement, *, by: Person, seen: Any = None) -> Outcome:
    """What a person saw on one zone, kept as the unload page keeps it."""
    judge_zones({outcome.pk: judgement}, {outcome.pk: seen or outcome.judged_at}, by=by)
    outcome.refresh_from_db()
    return outcome
