"""No page, print or message makes a badge of a figure: what is measured is told, use with food is decided elsewhere."""

import re
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path

import pytest
from django.conf import settings
from django.urls import reverse
from pypdfium2 import PdfDocument

from firings.vocabulary import FiringState
from tests.factories import (
    AbsorptionTestFactory,
    FiringFactory,
    GlazeFactory,
    LeachReportFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)

# What a label would claim. "not a certificate" denies it, so it may stand.
CLAIMS = re.compile(
    r"(?<!not )\b(?:un)?safe(?:ty|ly)?\b|\b(?:pass(?:ed|es)?|fail(?:ed|s)?|complie[sd]|compliant|approved)\b"
    r"|(?<!not a )\bcertifi\w+|\blead[- ]free\b|\bfit for (?:food|use)\b",
    re.IGNORECASE,
)
# The data sheet is the supplier's, whatever it is called.
NAMED_SO = re.compile(r"safety data sheets?", re.IGNORECASE)
WRITTEN_CLAIMS = re.compile(
    r"\b(?:food|dinnerware|tableware|dishwasher|microwave|oven)[- ]safe\b|\bsafe (?:for|with) (?:food|use)\b"
    r"|\blead[- ]free\b",
    re.IGNORECASE,
)


class Words(HTMLParser):
    """The words a person reads on a page, alternative texts and hints among them."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []

    def handle_starttag(self, tag, attrs):
        self.words += [
            value or "" for name, value in attrs if name in ("aria-label", "title", "alt", "placeholder")
        ]

    def handle_data(self, data):
        self.words.append(data)


def claims_in(text: str) -> list[str]:
    return CLAIMS.findall(NAMED_SO.sub("", text))


def words_of(page: str) -> str:
    reader = Words()
    reader.feed(page)
    return " ".join(reader.words)


@pytest.fixture
def tested():
    """A tile whose glaze a laboratory found far below every limit, and whose body hardly takes up water."""
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2}))
    firing = FiringFactory(state=FiringState.UNLOADED)
    fired_outcomes(tile, firing)
    facts = {"tile": tile, "body": tile.body, "firing": firing, "cone_order": None}
    report = LeachReportFactory(
        glaze=tile.layers.get().glaze, figures=[("Pb", "0.001", "less"), ("Cd", "0")], **facts
    )
    return tile, report, AbsorptionTestFactory(pieces=[(100, 100.1, None)] * 5, **facts)


@pytest.mark.django_db
def test_no_page_of_what_was_tested_makes_a_claim(keeper_client, tested):
    tile, report, test = tested
    glaze = report.glaze
    addresses = [
        reverse("tiles:laboratory:index"), reverse("tiles:laboratory:leach_reports"), report.get_absolute_url(),
        test.get_absolute_url(), reverse("tiles:laboratory:new_leach_report"),
        reverse("tiles:laboratory:new_absorption"),
        reverse("tiles:laboratory:edit_leach_report", args=[report.pk]),
        reverse("history:changes", args=["tiles", "leachreport", report.pk]),
        tile.get_absolute_url(), glaze.get_absolute_url(), tile.body.get_absolute_url(),
        reverse("tiles:search:results"), reverse("tiles:ranges:sheet", args=[glaze.pk]),
    ]  # fmt: skip
    for address in addresses:
        answer = keeper_client.get(address)

        assert answer.status_code == 200, address
        assert claims_in(words_of(answer.content.decode())) == [], address


@pytest.mark.django_db
@pytest.mark.parametrize("page", ["report", "glaze", "tile"])
def test_where_a_figure_stands_the_caution_stands(viewer_client, tested, page):
    tile, report, _ = tested
    shown = {"report": report, "glaze": report.glaze, "tile": tile}[page]

    text = viewer_client.get(shown.get_absolute_url()).content.decode()

    assert "below the limit named" in text
    assert "not a certificate" in text
    assert "accredited laboratory" in text


@pytest.mark.django_db
@pytest.mark.parametrize("kind", ["cards_pdf", "labels_pdf"])
def test_no_printed_card_or_label_speaks_of_leaching(keeper_client, tested, kind):
    tile, report, _ = tested
    answer = keeper_client.get(reverse("tiles:prints:" + kind), {"tiles": tile.label})

    content = b"".join(answer) if answer.streaming else answer.content
    assert content.startswith(b"%PDF"), answer.status_code
    text = " ".join(page.get_textpage().get_text_bounded() for page in PdfDocument(BytesIO(content)))
    assert claims_in(text) == []
    assert report.report_number not in text
    assert "limit" not in text


def test_no_template_or_line_of_code_writes_a_label_of_use():
    root = Path(settings.BASE_DIR)
    files = [
        *root.glob("templates/**/*.html"),
        *(path for floor in ("firings", "tiles", "studio") for path in (root / floor).rglob("*.py")),
        *root.glob("static/js/*.js"),
        *root.glob("fixtures/*.toml"),
    ]

    assert len(files) > 300
    assert [str(path) for path in files if WRITTEN_CLAIMS.search(path.read_text(encoding="utf-8"))] == []


@pytest.mark.parametrize(
    "words", ["food-safe", "Dinnerware safe", "tests passed", "a certified glaze", "lead-free"]
)
def test_what_is_looked_for_is_found(words):
    assert claims_in(words) or WRITTEN_CLAIMS.search(words)
