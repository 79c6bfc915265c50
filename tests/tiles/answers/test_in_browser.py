"""An answer in a browser: asked in words by keyboard and on a phone, and sent to a printer."""

import pypdfium2
import pytest

from tests.factories import (
    CONE_6,
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import Outcome

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def harbour(transactional_db):
    tile = glaze_tile(
        TileFactory(body=ClayBodyFactory(name="Dune speckled")),
        (GlazeFactory(name="Harbour"), {"band 1": 1, "band 2": 2}),
    )
    fired_outcomes(tile, FiringFactory(fired=True, target_order=CONE_6, reached_order=CONE_6))
    Outcome.objects.update(surface="glossy", judged_at="2026-10-14T12:00Z")


def test_a_question_is_answered_from_the_first_page_by_one_tap_and_a_line(open_page, viewer, harbour):
    page = open_page("/", viewer, width=390, height=844, has_touch=True, is_mobile=True)
    field = page.get_by_label("Glaze, clay, cone and coats, in words")
    button = page.get_by_role("button", name="Ask").bounding_box()
    assert button["x"] + button["width"] <= 390
    assert button["height"] >= 44

    field.tap()
    page.keyboard.type("What does Harbour do on Dune speckled at cone six with two coats?")
    page.keyboard.press("Enter")
    page.wait_for_url("**/answers/?glaze=*")

    assert page.locator("h1").inner_text() == "Harbour, 2 coats, on Dune speckled, cone 6"
    assert field.input_value() == "Harbour, 2 coats, on Dune speckled, cone 6"
    assert not page.get_by_label("Clay body").is_visible()
    assert page.locator("#exact").is_visible()


def test_an_answer_stands_upright_on_paper_without_boxes_for_comparing(open_page, viewer, harbour):
    page = open_page("/answers/?q=harbour+cone+6", viewer)
    printed = pypdfium2.PdfDocument(page.pdf(prefer_css_page_size=True))
    width, height = printed[0].get_size()
    words = "".join(sheet.get_textpage().get_text_range() for sheet in printed)

    assert width < height
    assert "Harbour, cone 6" in words
    assert "compare" not in words
