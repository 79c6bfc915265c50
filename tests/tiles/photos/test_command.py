"""`manage.py look_at_photo`: what intake would find, stored nowhere."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests.factories import TileFactory, TileFormFactory
from tests.tiles.colour.scenes import Shot
from tests.tiles.photos.mat_scenes import Scene, photographed
from tiles.models import Photo

SCENE = Scene(size=(1500, 2000), lift_mm=7, shot=Shot(light="shade"))


@pytest.fixture
def on_the_mat(tmp_path):
    place = tmp_path / "tile.jpg"
    place.write_bytes(photographed(SCENE).file)
    return place


def said(*arguments: object) -> tuple[str, int]:
    """What the command prints, and how it ends."""
    out, code = StringIO(), 0
    try:
        call_command("look_at_photo", *map(str, arguments), stdout=out)
    except SystemExit as ended:
        code = ended.code
    return out.getvalue(), code


def test_zones_of_the_studios_tile_are_read_and_nothing_is_stored(db, on_the_mat):
    form = TileFormFactory(width_mm=66, height_mm=112, thickness_mm=7)
    form.zones.all().delete()
    for number in range(4):
        form.zones.create(
            position=number + 1,
            name=f"band {number + 1}",
            x_mm=0,
            y_mm=28 * number,
            width_mm=66,
            height_mm=28,
        )
    TileFactory(number=1042, form=form)

    printed, code = said(on_the_mat, "--json")

    (found,) = json.loads(printed)
    assert code == 0
    assert found["accepted"]
    assert (found["width"], found["height"]) == (1500, 2000)
    assert [code["number"] for code in found["codes"]] == ["1042-9"]
    assert found["mat"]["px_per_mm"] == pytest.approx(photographed(SCENE).px_per_mm, rel=0.001)
    assert found["chart"]["residual_mean"] < 2
    assert list(found["lab"]) == ["band 1", "band 2", "band 3", "band 4"]
    assert {zone["basis"] for zone in found["lab"].values()} == {"chart"}
    assert found["lab_reason"] == ""
    assert not Photo.everything.exists()


def test_without_the_tile_in_the_studio_the_reason_is_said(db, on_the_mat):
    printed, code = said(on_the_mat)

    assert code == 0
    assert "codes: 1042-9" in printed
    assert "pixels to a millimetre" in printed
    assert "after correction" in printed
    assert "no tile of this number" in printed


def test_a_file_that_is_no_photo_is_refused_and_the_rest_still_looked_at(db, on_the_mat, tmp_path):
    words = tmp_path / "note.txt"
    words.write_text("glazed on Tuesday")

    printed, code = said(words, tmp_path / "missing.jpg", on_the_mat, "--json")

    refused, missing, taken = json.loads(printed)
    assert code == 1
    assert not refused["accepted"]
    assert "not a picture" in refused["reason"]
    assert "cannot be opened" in missing["reason"]
    assert taken["accepted"]
    assert set(refused) == set(missing) == set(taken)


def test_the_printed_scale_is_allowed_for(db, on_the_mat):
    (true,), (small,) = (
        json.loads(said(on_the_mat, "--json", "--printed-scale", scale)[0]) for scale in ("1", "0,99")
    )

    assert small["mat"]["px_per_mm"] == pytest.approx(true["mat"]["px_per_mm"] / 0.99, rel=1e-6)


@pytest.mark.parametrize("arguments", [[], ["--printed-scale", "3", "x.jpg"], ["--side", "top", "x.jpg"]])
def test_a_wrong_call_is_refused(arguments):
    with pytest.raises(CommandError):
        call_command("look_at_photo", *arguments)
