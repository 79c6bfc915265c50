"""A firing's report says what is known of it, on the paper asked for, and keeps within its margins."""

import pypdfium2
import pytest
from django.urls import reverse

from firings.curves import services
from firings.curves.outlook import look
from firings.curves.reading import Choice
from firings.report.sheet import CAUTION, MARGIN, Report, report_pdf
from tests.factories import FiringFactory, FiringNoteFactory, KilnFactory, WitnessConeFactory
from tests.firings.curves.shapes import rows

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def data_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path


def words_of(content):
    pages = pypdfium2.PdfDocument(content)
    return " ".join(" ".join(page.get_textpage().get_text_range() for page in pages).split())


def test_the_report_says_all_that_is_known(viewer_client, recorder):
    firing = FiringFactory(number=231, fired=True, kiln=KilnFactory(name="Oriel"))
    WitnessConeFactory(firing=firing, bend_deg=90, place="front")
    FiringNoteFactory(firing=firing, text="Cracked the lid at 200 & <later> shut it.")
    data = "\n".join(["Time (min),Kiln (°C)", *(f"{s / 60:g},{t:.1f}" for s, t in rows())]).encode()
    file = services.LoggerFile(services.receive_file([data]), "kiln.csv")
    services.keep_curve(firing.pk, file, look(data, Choice()), by=recorder)
    answer = viewer_client.get(reverse("firings:report:firing", args=[231]))
    said = words_of(answer.content)

    assert answer["Content-Type"] == "application/pdf"
    for words in (
        "F-0231",
        "Oriel",
        "witness cones",
        "Cracked the lid at 200 & <later> shut it.",
        "cone so far",
    ):
        assert words in said
    assert "1222 °C" in said
    assert "tolerance of type K" in said
    assert "Tiles in it" in said
    assert "no statement about food safety" in said


def test_a_firing_that_is_only_planned_has_a_report_too(viewer_client):
    FiringFactory(number=7)
    answer = viewer_client.get(reverse("firings:report:firing", args=[7]))

    assert "Not known." in words_of(answer.content)


@pytest.mark.parametrize(("paper", "width_pt", "height_pt"), [("A4", 595.3, 841.9), ("Letter", 612.0, 792.0)])
def test_the_report_keeps_within_the_paper_s_margins(paper, width_pt, height_pt):
    # ISO 216 A4 is 210 × 297 mm; US Letter is 8.5 × 11 in
    long = "A very long remark " * 700
    content = report_pdf(
        Report("Firing F-0001", "lead", "6.0", [("Hold", "none")], notes=[("Remark", long)]), paper
    )
    document = pypdfium2.PdfDocument(content)

    assert len(document) > 1
    for page in document:
        assert page.get_size() == pytest.approx((width_pt, height_pt), abs=0.1)
        text = page.get_textpage()
        boxes = [text.get_rect(at) for at in range(text.count_rects())]
        assert min(box[0] for box in boxes) >= MARGIN
        assert max(box[2] for box in boxes) <= width_pt - MARGIN
    assert CAUTION.split(";")[0] in words_of(content)
