"""A run in millimetres: true under perspective, and within its give-or-take as often as it says."""

import io
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.tiles.photos.mat_scenes import Scene, photographed
from tiles.closeup.scale import NoScale, PictureSize, Scale, measure, of_code, of_mat, of_tile
from tiles.colour.homography import through
from tiles.photos.look import look_at
from tiles.photos.mat import SeenMat
from tiles.photos.mat_sheet import SHEETS

SIZE = PictureSize(4000, 3000)
shares = st.floats(0.05, 0.95)
lines = st.tuples(shares, shares, shares, shares)


def flat(mm_per_px: float) -> Scale:
    return Scale(((4000 * mm_per_px, 0, 0), (0, 3000 * mm_per_px, 0), (0, 0, 1)), SIZE, spread=0.01)


def askew(tilt_deg: float, px_per_mm: float = 20.0) -> np.ndarray:
    """mm on a plane to pixels of a pinhole camera 3,000 px of focal length away, tilted about its level axis."""
    tilt = math.radians(tilt_deg)
    focal, distance = 3000.0, 3000.0 / px_per_mm
    lens = np.array([[focal, 0, 2000], [0, focal, 1500], [0, 0, 1]])
    placed = np.array([[1, 0, 0], [0, math.cos(tilt), 0], [0, math.sin(tilt), distance]])
    return lens @ placed


def to_line(plane: np.ndarray, start, end) -> tuple[float, ...]:
    pixels = through(plane, [start, end])
    return tuple((pixels / (SIZE.width, SIZE.height)).ravel().tolist())


@given(line=lines, factor=st.floats(0.1, 10))
def test_a_length_is_the_same_from_either_end_and_grows_with_the_scale(line, factor):
    x1, y1, x2, y2 = line
    scale = flat(0.05)

    assert scale.length_mm((x2, y2, x1, y1)) == pytest.approx(scale.length_mm(line))
    assert flat(0.05 * factor).length_mm(line) == pytest.approx(factor * scale.length_mm(line))


@given(line=lines, pointing_px=st.floats(0, 50))
def test_pointing_less_surely_never_makes_a_run_surer(line, pointing_px):
    scale = flat(0.05)

    assert (
        measure(scale, line, pointing_px + 5).plus_minus_mm >= measure(scale, line, pointing_px).plus_minus_mm
    )
    assert measure(scale, line, pointing_px).run_mm == measure(scale, line).run_mm


@given(tilt=st.floats(-50, 50), x=st.floats(-40, 40), y=st.floats(-40, 40), run_mm=st.floats(0.5, 30))
def test_by_a_code_a_run_is_true_however_the_photo_was_held(tilt, x, y, run_mm):
    plane = askew(tilt)
    code = through(plane, [(0, 0), (24, 0), (24, 24), (0, 24)]) / (SIZE.width, SIZE.height)
    scale = of_code(code.tolist(), 24.0, SIZE)

    assert scale.length_mm(to_line(plane, (x, y), (x, y + run_mm))) == pytest.approx(run_mm, rel=1e-6)


def test_the_give_or_take_by_a_code_holds_95_runs_of_100():
    # JCGM 100:2008, 6.2.2: an expanded uncertainty with coverage factor 2 encompasses about 95 of 100
    chance = np.random.default_rng(7)
    plane, run_mm = askew(25), 8.0
    corners = through(plane, [(0, 0), (24, 0), (24, 24), (0, 24)])
    ends = through(plane, [(-20, 10), (-20, 10 + run_mm)])
    size = np.array([SIZE.width, SIZE.height])
    held = 0
    for _ in range(400):
        # The ruler's error of the code's side is part of the scale's spread, which is its 95 % half-width.
        side = 24 * (1 + chance.normal(0, 0.25 / 24 / 2))
        seen = (corners + chance.normal(0, 1.0, (4, 2))) / size
        line = tuple(((ends + chance.normal(0, 3.0, (2, 2))) / size).ravel())
        found = measure(of_code(seen.tolist(), side, SIZE), line, 3.0)
        held += abs(found.run_mm - run_mm) <= found.plus_minus_mm

    assert 0.93 <= held / 400 <= 0.995


def test_by_the_tiles_own_size_the_fire_is_part_of_the_give_or_take_until_the_tile_is_measured():
    edge = (0.2, 0.5, 0.55, 0.5)  # 1,400 px across a tile of 70 mm
    line = (0.4, 0.4, 0.4, 0.4 + 100 / 3000)
    dry = measure(of_tile(edge, 70, SIZE, dry_mm=70), line)
    measured = measure(of_tile(edge, 66, SIZE, dry_mm=70), line)

    assert dry.run_mm == pytest.approx(5.0)
    assert measured.run_mm == pytest.approx(5.0 * 66 / 70, abs=0.01)
    assert measured.plus_minus_mm < dry.plus_minus_mm
    # 7 % of 5 mm, 3 % for the tilt, 2 px at 20 px/mm from either end
    assert dry.plus_minus_mm == pytest.approx(math.hypot(0.35, 0.15, 2 * math.sqrt(2) / 20), abs=0.02)


def test_a_zone_that_did_not_run_is_measured_as_nought_give_or_take_the_pointing():
    found = measure(flat(0.05), (0.5, 0.5, 0.5, 0.5), 2.0)

    assert found.run_mm == 0
    assert found.plus_minus_mm == pytest.approx(2 * 2 * math.sqrt(2) * 0.05, abs=0.01)


def test_marks_on_one_spot_give_no_scale():
    with pytest.raises(NoScale, match="edges first"):
        of_tile((0.5, 0.5, 0.501, 0.5), 70, SIZE, dry_mm=70)


@pytest.mark.parametrize(
    "corners", [[(0.1, 0.1)] * 4, [(0.1, 0.1), (0.2, 0.2), (0.3, 0.3), (0.4, 0.4)], [(0, 0)]]
)
def test_a_code_without_corners_gives_no_scale(corners):
    with pytest.raises(NoScale):
        of_code(corners, 24, SIZE)


@pytest.mark.parametrize("tilt_deg", [0, 20])
def test_on_the_mat_a_run_on_a_thick_tile_is_true_within_its_give_or_take(tilt_deg):
    scene = Scene(tilt_deg=tilt_deg, towards_deg=90, lift_mm=8, chart=False, label_mm=0)
    photo = photographed(scene)
    mat = look_at(io.BytesIO(photo.file)).mat
    assert isinstance(mat, SeenMat)
    mark_x, mark_y = SHEETS["A4"].tile_mark
    ends = through(photo.face, [(mark_x + 30, mark_y + 60), (mark_x + 30, mark_y + 72)])
    line = tuple((ends / scene.size).ravel().tolist())
    found = measure(of_mat(mat, PictureSize(*scene.size), 8.0), line)

    assert found.run_mm == pytest.approx(12.0, abs=0.2)
    assert abs(found.run_mm - 12.0) <= found.plus_minus_mm < 0.6
