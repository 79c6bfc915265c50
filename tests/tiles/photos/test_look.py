"""One look at a whole photograph: what is found, what colours come to, and that it is kept and read back unchanged."""

import json
from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tests.tiles.colour.scenes import Shot
from tests.tiles.photos import corpus
from tests.tiles.photos.mat_scenes import Photographed, Scene, photographed
from tiles.colour.difference import ciede2000
from tiles.colour.homography import through
from tiles.colour.lab import Illuminant, linear_to_lab
from tiles.colour.placing import Face, Place, face_on_mat, zone_on
from tiles.colour.regions import area_colour
from tiles.colour.scene import scene_of
from tiles.photos import renditions
from tiles.photos.look import Look, NotSeen, SeenChart, SeenGreyCard, look_at
from tiles.photos.mat import SeenMat

INDOORS = Scene(
    size=(1500, 2000),
    fill=0.85,
    tilt_deg=10,
    towards_deg=60,
    lift_mm=7,
    fall_off=0.25,
    darker_deg=150,
    shot=Shot(light="bulb", exposure=0.8, noise=3),
)
WITH_CARD = replace(INDOORS, chart=False, card=True, shot=Shot(light="shade", exposure=0.8))


def looked(scene: Scene) -> Look:
    return look_at(BytesIO(photographed(scene).file))


def off_by(photo: Photographed, look: Look, *, corrected: bool) -> np.ndarray:
    """ΔE00 of each band of the tile, read where the mat says it lies."""
    picture = renditions.upright(BytesIO(photo.file), 2000)
    assert isinstance(look.mat, SeenMat)
    face = Face(66, 112, 7)
    scene = scene_of(picture, look)
    found = []
    for number, (box, colour) in enumerate(photo.bands):
        corners = zone_on(face_on_mat(look.mat, face), face, Place(0, 28 * number, 66, 28))
        pixels = np.asarray(renditions.upright(BytesIO(photo.file), 2000))
        raw = area_colour(pixels_of(pixels, corners), illuminant=Illuminant.D50)
        read = scene.read(corners) if corrected else raw
        found.append(ciede2000(read.lab, linear_to_lab(colour, Illuminant.D50)))
        assert box.width_mm == 66
    return np.array(found)


def pixels_of(picture: np.ndarray, corners) -> np.ndarray:
    """The upright rectangle within corners."""
    height, width = picture.shape[:2]
    x, y = np.array(corners).T
    left, right = sorted(x)[1], sorted(x)[2]
    top, bottom = sorted(y)[1], sorted(y)[2]
    return picture[int(top * height) : int(bottom * height), int(left * width) : int(right * width)]


def test_all_that_lies_on_the_mat_is_found():
    photo, look = photographed(INDOORS), looked(INDOORS)

    assert (look.width, look.height) == (1500, 2000)
    assert [(code.number, code.how) for code in look.codes] == [(1042, "code")]
    assert look.mat.px_per_mm == pytest.approx(photo.px_per_mm, rel=0.001)
    assert look.mat.px_per_mm_on(7) == pytest.approx(photo.px_per_mm_face, rel=0.005)
    assert look.chart.on_mat
    assert look.chart.residual_mean < 2 < look.chart.residual_before
    assert isinstance(look.grey_card, NotSeen)


def test_a_tiles_face_is_found_to_half_a_millimetre():
    photo, look = photographed(INDOORS), looked(INDOORS)
    box = photo.bands[0][0]
    corners = [
        (box.x_mm, box.y_mm),
        (box.right_mm, box.y_mm),
        (box.right_mm, box.y_mm + 112),
        (box.x_mm, box.y_mm + 112),
    ]

    seen = look.mat.tile_corners(66, 112, 7) * (1500, 2000)

    assert seen == pytest.approx(through(photo.face, corners), abs=0.5 * photo.px_per_mm)


def test_colours_are_put_right_by_the_chart_and_the_light_on_the_paper():
    photo, look = photographed(INDOORS), looked(INDOORS)

    before, after = (off_by(photo, look, corrected=corrected) for corrected in (False, True))

    assert before.mean() > 10
    assert after.mean() < 2.5
    assert after.max() < 4


def test_a_grey_card_is_known_by_its_place():
    look = looked(WITH_CARD)

    assert isinstance(look.grey_card, SeenGreyCard)
    assert isinstance(look.chart, NotSeen)
    assert look.correction.basis == "grey card"
    before, after = (
        off_by(photographed(WITH_CARD), look, corrected=corrected) for corrected in (False, True)
    )
    assert after.mean() < before.mean() / 1.5


def test_blank_paper_is_no_grey_card_and_no_chart():
    look = looked(replace(WITH_CARD, card=False))

    assert isinstance(look.grey_card, NotSeen)
    assert "its place" in look.grey_card.reason
    assert isinstance(look.chart, NotSeen)
    assert look.correction.basis == "uncorrected"


def test_a_chart_is_found_without_the_mat():
    # All four codes of the mat are cut off.
    picture = Image.open(BytesIO(photographed(INDOORS).file))
    part = picture.crop((330, 1250, 1130, 1690))

    look = look_at(BytesIO(corpus.saved(part, "JPEG", quality=92)))

    assert isinstance(look.chart, SeenChart)
    assert not look.chart.on_mat
    assert look.chart.residual_mean < 2


@pytest.mark.parametrize("scene", [INDOORS, WITH_CARD], ids=["chart", "card"])
def test_a_look_is_kept_and_read_back_unchanged(scene):
    look = looked(scene)

    assert Look.from_json(json.loads(json.dumps(look.as_json()))) == look


def test_an_empty_photo_is_kept_and_read_back_unchanged():
    look = look_at(BytesIO(corpus.saved(Image.new("RGB", (640, 480), (90, 90, 90)), "PNG")))

    assert Look.from_json(json.loads(json.dumps(look.as_json()))) == look
    assert look.codes == ()
    assert look.as_json()["mat"] == {"found": False, "reason": "No code of the photo mat was read."}


def test_a_look_of_another_version_is_refused():
    kept = looked(INDOORS).as_json() | {"version": 0}

    with pytest.raises(ValueError, match="look again"):
        Look.from_json(kept)


def test_corrections_are_rebuilt_from_what_is_kept():
    look = looked(INDOORS)
    again = Look.from_json(json.loads(json.dumps(look.as_json())))

    colours = np.random.default_rng(1).integers(0, 256, (50, 3))
    lab = [area_colour(np.repeat(colours, 5, axis=0), one.correction).lab for one in (look, again)]
    assert lab[0] == lab[1]


@pytest.mark.parametrize("orientation", [3, 6, 8])
def test_places_are_of_the_upright_photo(orientation):
    upright = Image.open(BytesIO(photographed(INDOORS).file)).convert("RGB")
    notes = Image.Exif()
    notes[0x0112] = orientation
    turned = corpus.saved(
        upright.transpose(corpus.AS_THE_SENSOR_SAW[orientation]), "JPEG", quality=92, exif=notes
    )

    look = look_at(BytesIO(turned))

    assert (look.width, look.height) == (1500, 2000)
    expected = looked(INDOORS)
    assert look.mat.px_per_mm == pytest.approx(expected.mat.px_per_mm, rel=0.001)
    assert look.mat.tile_corners(66, 112) == pytest.approx(expected.mat.tile_corners(66, 112), abs=0.002)


@given(
    size=st.tuples(st.integers(1, 60), st.integers(1, 60)),
    colour=st.tuples(*[st.integers(0, 255)] * 3),
    kind=st.sampled_from(["JPEG", "PNG", "WEBP"]),
)
@settings(max_examples=15, deadline=None)
def test_any_photo_that_was_accepted_can_be_looked_at(size, colour, kind):
    look = look_at(BytesIO(corpus.saved(Image.new("RGB", size, colour), kind)))

    assert (look.width, look.height) == size
    assert json.dumps(look.as_json())
