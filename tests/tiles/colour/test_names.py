"""Plain names: their values are those of the published set, and each colour finds its own name."""

import pytest
from PIL import ImageColor

from tiles.colour.lab import Illuminant, srgb_to_lab
from tiles.colour.names import NAMED_RGB, nearest


@pytest.mark.parametrize("name", NAMED_RGB)
def test_each_name_has_its_published_value(name):
    # Pillow carries the same table of CSS names
    assert ImageColor.getrgb(name.replace(" ", "")) == NAMED_RGB[name]


@pytest.mark.parametrize("illuminant", list(Illuminant))
@pytest.mark.parametrize("name", NAMED_RGB)
def test_each_colour_finds_its_own_name(name, illuminant):
    found = nearest(srgb_to_lab(NAMED_RGB[name], illuminant), illuminant)

    assert found.name == name
    assert found.apart == pytest.approx(0, abs=1e-6)


def test_a_colour_between_names_says_how_far_it_is():
    assert nearest(srgb_to_lab([140, 75, 30])).name == "saddle brown"
    assert nearest(srgb_to_lab([140, 75, 30])).apart > 1
