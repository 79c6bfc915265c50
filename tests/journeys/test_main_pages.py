"""The pages of a working day, as everyone must be able to use them; `make pages` looks at all others."""

import pytest

from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tests.journeys import looking

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PAGES = (
    "/",
    "/results/",
    "/tiles/{tile}/",
    "/firings/{firing}/unload/",
    "/catalogue/",
    "/catalogue/glazes/new/",
    "/tiles/new/",
)


@pytest.fixture
def places() -> dict[str, object]:
    """A studio with one tile in one firing, and how its addresses name them."""
    firing = FiringFactory(fired=True)
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 1, "band 2": 3}))
    fired_outcomes(tile, firing)
    return {"tile": tile.label, "firing": firing.pk}


@pytest.mark.parametrize("address", PAGES)
def test_a_main_page_fits_every_screen_every_thumb_and_the_keyboard(
    open_page, recorder, places, barriers, address
):
    page = open_page("/account/", recorder, bypass_csp=True, has_touch=True, reduced_motion="reduce")
    looking.look_at(page, address.format(**places))

    assert list(looking.unfit(page)) == []
    assert list(looking.missed_by_thumbs(page)) == []
    assert list(looking.lost_by_keyboard(page)) == []
    looking.at_full_height(page)
    assert barriers(page, "best-practice") == []


@pytest.mark.parametrize("address", ["/sign-in/", "/no-such-page/"])
def test_the_door_fits_too(open_page, barriers, address):
    page = open_page("/sign-in/", bypass_csp=True, has_touch=True, reduced_motion="reduce")
    looking.look_at(page, address)

    assert [*looking.unfit(page), *looking.missed_by_thumbs(page), *looking.lost_by_keyboard(page)] == []
    looking.at_full_height(page)
    assert barriers(page, "best-practice") == []
