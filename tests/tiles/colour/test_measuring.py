"""Measuring colours on photos: what is read, which reading counts, and how it is taken back."""

import io

import numpy as np
import pytest

from firings.models import CannotUndo
from tests.factories import (
    FiringFactory,
    GlazeFactory,
    TileFactory,
    TileFormFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.tiles.colour.pictures import (
    BANDS,
    BLUE,
    as_jpeg,
    through_profile,
    tile_beside_chart,
    tile_picture,
    wide_profile,
)
from tests.tiles.colour.scenes import Shot
from tests.tiles.photos.mat_scenes import Scene, photographed
from tiles.colour import queries, services
from tiles.colour.difference import ciede2000
from tiles.colour.lab import Illuminant, linear_to_lab, srgb_to_lab
from tiles.colour.regions import AreaColour
from tiles.looking.services import look_at_photo
from tiles.models import ColourReading, Outcome
from tiles.photos.services import store_photo
from tiles.tray.services import file_photo
from tiles.vocabulary import Face, ZoneKind

pytestmark = pytest.mark.django_db


@pytest.fixture
def outcomes() -> list[Outcome]:
    coats = dict.fromkeys(BANDS, 1)
    tile = glaze_tile(TileFactory(), (GlazeFactory(), coats))
    return fired_outcomes(tile, FiringFactory(fired=True))


def read_all(photo, by) -> tuple[list[int], int]:
    shown = queries.shown_on(photo)
    areas = queries.laid_areas(shown, photo, queries.look_of(photo))
    found = services.read_zones(photo, areas)
    colours = {pk: (areas[pk], colour) for pk, colour in found.items() if isinstance(colour, AreaColour)}
    return services.keep_readings(photo, colours, by=by)


def off(outcome: Outcome, rgb: tuple[int, int, int]) -> float:
    outcome.refresh_from_db()
    return float(ciede2000((outcome.lab_l, outcome.lab_a, outcome.lab_b), srgb_to_lab(rgb, Illuminant.D50)))


def test_each_zone_is_read_where_the_form_says(outcomes, stored, recorder):
    photo = stored(as_jpeg(tile_picture()), placement=outcomes[0].placement)
    read_all(photo, recorder)

    for outcome, rgb in zip(outcomes, BANDS.values(), strict=True):
        assert off(outcome, rgb) < 1
        assert outcome.lab_basis == "uncorrected"
        assert outcome.colour_readings.get().counts


def test_an_embedded_profile_is_honoured(outcomes, stored, recorder):
    profile = wide_profile()
    picture = through_profile(tile_picture(), profile)
    photo = stored(as_jpeg(picture, profile), placement=outcomes[0].placement)
    read_all(photo, recorder)

    for outcome, rgb in zip(outcomes, BANDS.values(), strict=True):
        assert off(outcome, rgb) < 1
    # Taken as sRGB, the same numbers are another colour.
    x, y = 70 + 15 * 8, 110 + 35 * 8
    assert ciede2000(srgb_to_lab(picture.getpixel((x, y))), srgb_to_lab(BLUE)) > 1.5


def test_a_chart_in_the_picture_puts_the_colours_right(outcomes, stored, recorder):
    shot = Shot(light="bulb", tone=0.2, share=0.5, size=(700, 1100))
    photo = stored(as_jpeg(tile_beside_chart(shot)), placement=outcomes[0].placement)
    photo.filings.update(region=[0, 0, 0.5, 1])
    shown = queries.shown_on(photo)
    # The region holds all of the tile's photo: the tile fills eight tenths of it.
    areas = {
        zone.outcome.pk: corners
        for zone in shown
        if (corners := _in_left_half(queries.laid_areas([zone], photo, None)[zone.outcome.pk]))
    }
    found = services.read_zones(photo, areas)

    for outcome, rgb in zip(outcomes, BANDS.values(), strict=True):
        colour = found[outcome.pk]
        assert isinstance(colour, AreaColour)
        assert colour.basis == "chart"
        assert ciede2000(colour.lab, srgb_to_lab(rgb, Illuminant.D50)) < 2.5


def _in_left_half(corners):
    """The middle of an area, small enough to lie within its band however the tile is laid."""
    middle = np.mean(corners, axis=0)
    return tuple(
        tuple(float(value) for value in middle + np.array([dx, dy]))
        for dx, dy in ((-0.02, -0.02), (0.02, -0.02), (0.02, 0.02), (-0.02, 0.02))
    )


def test_measuring_is_undone_in_one_step(outcomes, stored, recorder):
    photo = stored(as_jpeg(tile_picture()), placement=outcomes[0].placement)
    keys, mark = read_all(photo, recorder)
    services.undo_colours(keys, mark, by=recorder)

    assert not ColourReading.objects.exists()
    assert not Outcome.objects.filter(lab_l__isnull=False).exists()
    assert ColourReading.history.filter(history_user=recorder).count() == 2 * len(keys)


def test_undoing_a_second_reading_leaves_the_first(outcomes, stored, recorder):
    first = stored(as_jpeg(tile_picture()), placement=outcomes[0].placement)
    read_all(first, recorder)
    before = list(Outcome.objects.order_by("pk").values_list("lab_l", "lab_a", "lab_b", "lab_basis"))
    counted = set(ColourReading.objects.filter(counts=True).values_list("pk", flat=True))
    second = stored(as_jpeg(tile_picture(Shot(light="bulb"))), placement=outcomes[0].placement)
    keys, mark = read_all(second, recorder)
    assert list(Outcome.objects.order_by("pk").values_list("lab_l", "lab_a", "lab_b", "lab_basis")) != before
    services.undo_colours(keys, mark, by=recorder)

    assert list(Outcome.objects.order_by("pk").values_list("lab_l", "lab_a", "lab_b", "lab_basis")) == before
    assert set(ColourReading.objects.filter(counts=True).values_list("pk", flat=True)) == counted


def test_what_was_changed_since_is_not_undone(outcomes, stored, recorder):
    photo = stored(as_jpeg(tile_picture()), placement=outcomes[0].placement)
    keys, mark = read_all(photo, recorder)
    services.keep_instrument(outcomes[0], (50, 10, 10), Illuminant.D50, by=recorder)

    with pytest.raises(CannotUndo, match="changed again"):
        services.undo_colours(keys, mark, by=recorder)


def test_an_instrument_beats_a_photo_and_is_stated_for_its_own_light(outcomes, stored, recorder):
    outcome = outcomes[0]
    services.keep_instrument(outcome, (53.24, 80.09, 67.20), Illuminant.D65, by=recorder)
    outcome.refresh_from_db()
    # sRGB's red under D65 and D50: tests/published/srgb_lab.csv
    assert (outcome.lab_l, outcome.lab_a, outcome.lab_b) == pytest.approx((54.29, 80.81, 69.89), abs=0.03)
    photo = stored(as_jpeg(tile_picture()), placement=outcome.placement)
    read_all(photo, recorder)
    outcome.refresh_from_db()

    assert outcome.lab_basis == "instrument"
    assert outcome.colour_readings.filter(counts=True).get().photo is None
    assert outcome.colour_readings.count() == 2


def test_a_person_may_let_another_reading_count(outcomes, stored, recorder):
    outcome = outcomes[0]
    photo = stored(as_jpeg(tile_picture()), placement=outcome.placement)
    read_all(photo, recorder)
    services.keep_instrument(outcome, (10, 0, 0), Illuminant.D50, by=recorder)
    mark = services.choose_reading(outcome.colour_readings.get(photo=photo), by=recorder)

    assert off(outcome, BLUE) < 1
    services.undo_colours([outcome.pk], mark, by=recorder)
    outcome.refresh_from_db()
    assert (outcome.lab_l, outcome.lab_basis) == (10, "instrument")


def test_a_second_reading_on_the_same_photo_takes_the_place_of_the_first(outcomes, stored, recorder):
    photo = stored(as_jpeg(tile_picture()), placement=outcomes[0].placement)
    read_all(photo, recorder)
    read_all(photo, recorder)

    assert ColourReading.objects.count() == len(outcomes)


def test_nothing_is_measured_unasked_without_mat_and_chart(outcomes, stored):
    photo = stored(as_jpeg(tile_picture()), placement=outcomes[0].placement)

    assert services.measure_outcomes(photo) == []
    assert not ColourReading.objects.exists()


def test_a_blown_out_zone_says_so(outcomes, stored, recorder):
    picture = tile_picture()
    picture.paste((255, 255, 255), (0, 0, *picture.size))
    photo = stored(as_jpeg(picture), placement=outcomes[0].placement)
    areas = queries.laid_areas(queries.shown_on(photo), photo, None)
    found = services.read_zones(photo, areas)

    assert all("blown out" in str(why) for why in found.values())


def test_a_photo_on_the_mat_with_a_chart_is_measured_without_being_asked(recorder):
    """From the stored file to the outcome's colour: tilted, under a bulb, light falling off, middle tones bent."""
    scene = Scene(shot=Shot(light="bulb", tone=0.15, exposure=0.8), tilt_deg=8, fall_off=0.2, lift_mm=7)
    shown = photographed(scene)
    zones = [
        (f"band {place + 1}", ZoneKind.BAND, Face.FRONT, False, 0, 28 * place, 66, 28) for place in range(4)
    ]
    form = TileFormFactory(width_mm=66, height_mm=112, thickness_mm=7, zones=zones)
    tile = TileFactory(number=1042, form=form)
    outcomes = fired_outcomes(
        glaze_tile(tile, (GlazeFactory(), {zone[0]: 1 for zone in zones})), FiringFactory(fired=True)
    )
    photo = store_photo(io.BytesIO(shown.file), by=recorder)
    look_at_photo(photo)

    readings = {reading.outcome_id: reading for reading in ColourReading.objects.all()}
    assert len(readings) == 4
    for outcome, (_, linear) in zip(outcomes, shown.bands, strict=True):
        outcome.refresh_from_db()
        assert outcome.lab_basis == "chart"
        assert readings[outcome.pk].read_by is None
        true = linear_to_lab(linear, Illuminant.D50)
        assert ciede2000((outcome.lab_l, outcome.lab_a, outcome.lab_b), true) < 3
    assert services.measure_outcomes(photo) == []


def test_a_photo_that_named_no_tile_is_measured_once_someone_files_it(
    recorder, django_capture_on_commit_callbacks
):
    shown = photographed(Scene(label_mm=0.5))
    form = TileFormFactory(
        width_mm=66, height_mm=112, zones=[("front", ZoneKind.BAND, Face.FRONT, False, 0, 0, 66, 28)]
    )
    tile = glaze_tile(TileFactory(form=form), (GlazeFactory(), {"front": 1}))
    (outcome,) = fired_outcomes(tile, FiringFactory(fired=True))
    photo = store_photo(io.BytesIO(shown.file), by=recorder)
    look_at_photo(photo)
    assert not ColourReading.objects.exists()

    with django_capture_on_commit_callbacks(execute=True):
        file_photo(photo, tile, by=recorder)

    outcome.refresh_from_db()
    assert outcome.lab_basis == "chart"


def test_what_a_person_measured_as_well_stands_before_what_nobody_asked_for(outcomes, stored, recorder):
    photo = stored(as_jpeg(tile_picture()), placement=outcomes[0].placement)
    keys, _ = read_all(photo, recorder)
    before = Outcome.objects.get(pk=keys[0]).lab_l
    other = stored(as_jpeg(tile_picture(Shot(light="bulb"))), placement=outcomes[0].placement)
    read_all(other, None)

    assert Outcome.objects.get(pk=keys[0]).lab_l == before
