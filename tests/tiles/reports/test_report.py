"""A firing's report says what is known of it, draws what was asked, fired and stood where, and keeps to its paper."""

import pytest
from django.urls import reverse

from firings.curves import services
from firings.curves.outlook import look
from firings.curves.reading import Choice
from firings.preferences import Preferences
from firings.report.facts import CAUTION, Report
from tests.factories import (
    FiringFactory,
    FiringNoteFactory,
    KilnFactory,
    ProgrammeFactory,
    ShelfFactory,
    TileFactory,
    WitnessConeFactory,
)
from tests.firings.curves.shapes import rows
from tests.tiles.prints.reading import ink_mm, rendered, size_mm, words
from tiles.loading.packing import Piece, Room
from tiles.loading.shelves import Seen, lay_out
from tiles.models import Placement
from tiles.prints.kinds import Asked
from tiles.prints.marks import Line, Plate, Words
from tiles.prints.paper import laid_page, print_pages
from tiles.prints.working import MARGIN_MM
from tiles.reports.queries import FIRING_REPORT, layouts_of
from tiles.reports.sheet import CURVE_MM, VAGUE, ReportFacts, ReportShelf, sheets

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def data_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path


@pytest.fixture
def firing():
    programme = ProgrammeFactory()
    programme.segments.all().delete()
    programme.segments.create(position=1, rate_c_per_h=120, target_c=600, hold_min=0)
    programme.segments.create(position=2, rate_c_per_h=60, target_c=1222, hold_min=15)
    kiln = KilnFactory(name="Oriel")
    return FiringFactory(number=231, kiln=kiln, programme=programme)


def log_of(firing, by):
    data = "\n".join(["Time (min),Kiln (°C)", *(f"{s / 60:g},{t:.1f}" for s, t in rows())]).encode()
    file = services.LoggerFile(services.receive_file([data]), "kiln.csv")
    services.keep_curve(firing.pk, file, look(data, Choice()), by=by)


def printed(layouts):
    return print_pages([laid_page(layout) for layout in layouts], title="").pdf


def said_on(layouts):
    return " ".join(mark.text for page in layouts for mark in page.marks if isinstance(mark, Words))


def report(**more):
    return Report("Firing F-0001", "Glaze firing", "6", "by witness cones", [("Hold", "none")], **more)


def test_the_report_says_all_that_is_known(viewer_client, recorder, firing):
    WitnessConeFactory(firing=firing, bend_deg=90, place="front")
    FiringNoteFactory(firing=firing, text="Cracked the lid at 200 & <later> shut it.")
    log_of(firing, recorder)
    answer = viewer_client.get(reverse("tiles:reports:firing", args=[231]))
    said = words(answer.content)

    assert answer["Content-Type"] == "application/pdf"
    for sentence in (
        "F-0231",
        "Oriel",
        "witness cones",
        "Cracked the lid at 200 & <later> shut it.",
        "cone so far",
        "Asked and fired",
        "120 °C/h to 600 °C; 60 °C/h to 1222 °C, held 15 min",
        "tolerance of type K",
        "Tiles in it",
        "no statement about food safety",
    ):
        assert sentence in said


def test_what_was_asked_is_drawn_dashed_under_what_was_fired(recorder, firing):
    before = layouts_of(firing, Preferences())
    log_of(firing, recorder)
    after = layouts_of(firing, Preferences())
    asked, both = (
        [mark.dash_pt for mark in pages[0].marks if isinstance(mark, Line) and len(mark.points) > 2]
        for pages in (before, after)
    )

    assert "nothing is logged" in said_on(before)
    assert "asked by the programme" in said_on(before)
    assert "as logged" not in said_on(before)
    assert asked
    assert all(asked)
    assert "as logged" in said_on(after)
    # the programme first, so that the log and its heat work lie on top of it
    assert [bool(dash) for dash in both if dash != (1.5, 2.0)][:3] == [True, False, False]


def test_an_asked_curve_ends_where_the_programme_does(firing):
    page, *_ = layouts_of(firing, Preferences())
    longest = max((mark for mark in page.marks if isinstance(mark, Line)), key=lambda line: len(line.points))
    across = [x_mm for x_mm, _ in longest.points]

    # 580 °C at 120 °C/h, 622 °C at 60 °C/h and a quarter of an hour: 15 h 27 min of a scale of 15 h 27 min
    assert across == sorted(across)
    assert across[-1] == pytest.approx(MARGIN_MM + (720 - 44) * CURVE_MM / 720, abs=0.1)
    assert "1222 °C" in said_on([page])


def test_a_firing_that_is_only_planned_has_a_report_too(viewer_client):
    FiringFactory(number=7, programme=None)
    answer = viewer_client.get(reverse("tiles:reports:firing", args=[7]))

    assert "Reached cone not known" in words(answer.content)


def test_the_shelves_are_drawn_with_what_stood_where(firing):
    shelf = ShelfFactory(kiln=firing.kiln, position=2, width_mm=400, depth_mm=420)
    tiles = [TileFactory(number=number) for number in (1042, 1043, 1044)]
    Placement.objects.create(tile=tiles[0], firing=firing, shelf=shelf, x_mm=10, y_mm=20)
    Placement.objects.create(tile=tiles[1], firing=firing, shelf=shelf, place="front right")
    Placement.objects.create(tile=tiles[2], firing=firing)
    pages = layouts_of(firing, Preferences())
    said = said_on(pages)

    assert "Shelf 2 from the bottom: 2 tiles" in said
    assert "Shelf not noted: 1 tile" in said
    assert all(said.count(tile.label) == 1 for tile in tiles)
    assert VAGUE in said
    assert FIRING_REPORT.says(Asked(("231",), {}, Preferences())) == "F-0231"


def test_a_tile_is_drawn_to_scale_where_it_stood():
    plan = lay_out(Room(1, 400, 200), [Seen("t1", "1042-9", Piece(1, 70, 110, 7), x_mm=100, y_mm=50)])
    (page, *_) = pages = sheets(ReportFacts(report(), (ReportShelf("Shelf 1", plan, ("1042-9",)),)))
    outlines = [mark.box for mark in page.marks if isinstance(mark, Plate) and not mark.filled]
    shelf, tile = outlines
    scale = (210 - 2 * MARGIN_MM - 6) / 2 / 400

    assert len(pages) == 1
    assert shelf.width_mm == pytest.approx(400 * scale)
    assert shelf.height_mm == pytest.approx(200 * scale)
    assert tile.x_mm - shelf.x_mm == pytest.approx(100 * scale)
    assert tile.y_mm - shelf.y_mm == pytest.approx(50 * scale)
    assert (tile.width_mm, tile.height_mm) == pytest.approx((70 * scale, 110 * scale))
    # measured with a ruler on the rendered page
    window = (
        shelf.x_mm - 1,
        shelf.y_mm - 1,
        shelf.x_mm + shelf.width_mm + 1,
        shelf.y_mm + shelf.height_mm + 1,
    )
    found = ink_mm(rendered(printed(pages), 600), 600, window)
    assert found[2] - found[0] == pytest.approx(shelf.width_mm, abs=0.2)
    assert found[3] - found[1] == pytest.approx(shelf.height_mm, abs=0.2)


def test_tiles_too_small_for_their_number_are_named_under_the_shelf():
    small = [Seen(f"t{n}", f"{n}-0", Piece(n, 15, 15, 7), x_mm=20 * n, y_mm=10) for n in range(1, 5)]
    shelf = ReportShelf("Shelf 1 from the bottom", lay_out(Room(1, 800, 800), small), ())

    assert "Shelf 1, too small for a number: 1-0, 2-0, 3-0, 4-0." in said_on(
        sheets(ReportFacts(report(), (shelf,)))
    )


@pytest.mark.parametrize("lines", range(0, 60, 3))
def test_the_first_shelves_stand_on_the_page_of_their_heading(lines):
    plan = lay_out(Room(1, 400, 420), [Seen("t1", "1042-9", Piece(1, 70, 110, 7), x_mm=100, y_mm=50)])
    notes = [("Remark", f"line {number}") for number in range(lines)]
    pages = sheets(ReportFacts(report(notes=notes), (ReportShelf("Shelf 1 from the bottom", plan, ()),)))

    (headed,) = [page for page in pages if "What stood where" in said_on([page])]
    assert "Shelf 1 from the bottom" in said_on([headed])


def test_a_bisque_firing_names_its_tiles():
    numbers = tuple(f"{number}-0" for number in range(1000, 1900))
    pages = sheets(ReportFacts(report(), bisqued=numbers))
    said = said_on(pages)

    assert len(pages) > 1
    assert all(number in said for number in numbers)


def test_what_does_not_fit_goes_on_the_next_page_and_says_so():
    long = " ".join(f"word{number}" for number in range(3000))
    pages = sheets(ReportFacts(report(notes=[("Remark", long)])))
    said = [said_on([page]) for page in pages]

    assert len(pages) > 2
    assert all(f"page {number} of {len(pages)}" in words for number, words in enumerate(said, start=1))
    assert all("Firing F-0001, continued" in words for words in said[1:])
    assert all(f"word{number}" in " ".join(said) for number in range(3000))
    assert all(CAUTION in words for words in said)


@pytest.mark.parametrize(("paper", "size"), [("A4", (210, 297)), ("Letter", (215.9, 279.4))])
def test_the_report_keeps_within_the_paper_s_margins(recorder, firing, paper, size):
    # ISO 216 A4 is 210 × 297 mm; US Letter is 8.5 × 11 in
    log_of(firing, recorder)
    WitnessConeFactory(firing=firing, bend_deg=90, place="front")
    for position in (1, 2, 3):
        shelf = ShelfFactory(kiln=firing.kiln, position=position)
        Placement.objects.create(tile=TileFactory(), firing=firing, shelf=shelf, place="back left")
    pages = layouts_of(firing, Preferences(paper=paper))
    pdf = printed(pages)

    assert len(pages) > 1
    for number in range(len(pages)):
        left, top, right, bottom = ink_mm(rendered(pdf, 100, number), 100, (0, 0, *size))
        assert size_mm(pdf, number) == pytest.approx(size, abs=0.1)
        assert left >= MARGIN_MM - 0.5
        assert top >= MARGIN_MM - 2
        assert right <= size[0] - MARGIN_MM + 0.5
        assert bottom <= size[1] - MARGIN_MM + 0.5


def test_notes_in_any_script_are_printed_and_what_no_font_has_is_said():
    written = [("Remark", "Дверь открыта, Κλίβανος, 釉薬を塗る, فتح الفرن"), ("Later", "\U00012000")]
    (page,) = sheets(ReportFacts(report(notes=written)))
    said = words(printed([page]))

    assert "Дверь открыта, Κλίβανος, 釉薬を塗る" in said
    assert [note.sentence for note in page.notes] == [
        "Our fonts cannot print these letters, so ▯ stands for them: \U00012000"
    ]


def test_more_tiles_and_shelves_ask_no_more_queries(firing, django_assert_max_num_queries):
    def asked(count):
        for _ in range(count):
            shelf = ShelfFactory(kiln=firing.kiln)
            Placement.objects.create(tile=TileFactory(), firing=firing, shelf=shelf, place="back")
        with django_assert_max_num_queries(60) as queries:
            layouts_of(firing, Preferences())
        return len(queries)

    assert asked(2) == asked(10)
