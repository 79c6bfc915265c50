"""Tile cards: what they say, where it stands, and that they can be cut and scanned."""

from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image

from tests.tiles.prints.reading import as_printed, codes_seen, ink_mm, rendered, size_mm, words
from tiles.prints.cards import (
    CAUTION,
    SIZES,
    CardFacts,
    CardJob,
    FiringWords,
    ZoneWords,
    lay_out,
    print_cards,
)
from tiles.prints.fonts import ASCENT, DESCENT
from tiles.prints.marks import Code, Patch, Words
from tiles.prints.stock import Box

LAN = "http://192.168.178.123:8000"
CONDITIONS = (
    "3 coats Harbour (lot 24-118) brushed over 1 coat Flux L, on Dune speckled; target cone 6, reached 5.8 "
    "(witness cones), oxidation, 10 min hold; kiln Oriel, shelf 3 front; 14 Oct 2026"
)
ZONES = (
    ZoneWords("band 1", "Harbour ×1", "semi-gloss, translucent; the body shows"),
    ZoneWords("band 2", "Harbour ×2", "satin, opaque; run 1 mm"),
    ZoneWords("texture", "Flux L ×1 + Harbour ×3", "glossy; run 4 mm; breaking marked"),
)
CARD = CardFacts(
    number="1042-9",
    body="Dune speckled",
    form="L tile",
    firings=(FiringWords("F-0231 · 14 Oct 2026", CONDITIONS, ZONES),),
    address=LAN,
    studio="Oriel Yard",
)


@pytest.fixture
def red_photo(tmp_path: Path) -> Path:
    """A picture twice as wide as high: red, with a dark left half."""
    picture = Image.new("RGB", (800, 400), "red")
    picture.paste("black", (0, 0, 400, 400))
    picture.save(tmp_path / "tile.jpg", quality=95)
    return tmp_path / "tile.jpg"


@pytest.mark.parametrize("size", SIZES)
def test_a_card_says_it_all(size):
    printed = print_cards([CARD], CardJob(size=size))
    text = words(printed.pdf)

    assert printed.notes == ()
    for part in (
        "1042-9",
        "Dune speckled",
        "L tile",
        "F-0231 · 14 Oct 2026",
        CONDITIONS,
        "Oriel Yard",
        CAUTION,
    ):
        assert part in text
    for zone in ZONES:
        assert zone.zone in text
        assert zone.stack in text
        assert zone.judged in text


def test_a_refired_tile_shows_each_firing():
    again = FiringWords("F-0240 · 2 Nov 2026", CONDITIONS.replace("cone 6", "cone 8"), ZONES[:1])
    printed = print_cards([replace(CARD, firings=(*CARD.firings, again))], CardJob())
    text = words(printed.pdf)

    assert printed.notes == ()
    assert (
        text.index("F-0231")
        < text.index("target cone 6")
        < text.index("F-0240")
        < text.index("target cone 8")
    )


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(("size", "to_a_page"), [("large", 2), ("medium", 4), ("small", 6)])
def test_so_many_cards_go_to_a_page(size, to_a_page, paper):
    printed = print_cards([CARD] * (to_a_page + 1), CardJob(size=size, paper=paper))

    assert printed.pages == len(pypdfium2.PdfDocument(printed.pdf)) == 2
    assert words(printed.pdf, 0).count("1042-9") == to_a_page
    assert words(printed.pdf, 1).count("1042-9") == 1


@pytest.mark.parametrize(("paper", "width_mm", "height_mm"), [("A4", 210, 297), ("Letter", 215.9, 279.4)])
def test_cards_are_cut_to_the_same_size_on_every_paper(paper, width_mm, height_mm):
    # ISO 216 and ANSI/ASME Y14.1 sizes of the sheets; the cards' size is ours.
    pdf = print_cards([CARD] * 4, CardJob(paper=paper)).pdf
    pixels, strip = rendered(pdf, 600), (0, 0, width_mm, (height_mm - 260) / 2 - 1)
    left, top, right, bottom = ink_mm(pixels, 600, strip)

    assert size_mm(pdf) == pytest.approx((width_mm, height_mm), abs=0.01)
    # Cut marks stand half a hair's width to each side of the line, 1.5 mm off the cards and 4 mm long.
    assert right - left == pytest.approx(190, abs=0.2)
    assert (left + right) / 2 == pytest.approx(width_mm / 2, abs=0.1)
    assert bottom - top == pytest.approx(4, abs=0.1)
    assert bottom == pytest.approx((height_mm - 260) / 2 - 1.5, abs=0.1)


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("size", SIZES)
def test_codes_of_cards_are_read(size, paper, dpi):
    cards = [replace(CARD, number=f"{1042 + n}-{n}") for n in range(8)]
    printed = print_cards(cards, CardJob(size=size, paper=paper))

    seen = [
        code
        for page in range(printed.pages)
        for code in codes_seen(as_printed(rendered(printed.pdf, dpi, page)))
    ]
    assert sorted(seen) == [f"HTTP://192.168.178.123:8000/T/{1042 + n}-{n}" for n in range(8)]


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
def test_words_stay_on_the_card_and_off_the_code(size):
    layout = lay_out(CARD, size)
    code = next(mark.box for mark in layout.marks if isinstance(mark, Code))
    dark = code.inset(code.width_mm * 4 / 33)

    for mark in (mark for mark in layout.marks if isinstance(mark, Words)):
        top = mark.baseline_mm - ASCENT * mark.size_pt / 72 * 25.4
        bottom = mark.baseline_mm + DESCENT * mark.size_pt / 72 * 25.4
        assert bottom <= size.height_mm - 3
        assert mark.x_mm >= size.words.x_mm - 0.01 or size.photo.x_mm <= mark.x_mm <= size.photo.right_mm
        assert bottom <= dark.y_mm or top >= dark.bottom_mm - 0.01 or mark.x_mm < dark.x_mm


def test_a_photograph_stands_whole_on_a_neutral_grey(red_photo):
    pdf = print_cards([replace(CARD, photo=red_photo)], CardJob()).pdf
    page = pypdfium2.PdfDocument(pdf)[0].render(scale=300 / 72).to_pil()
    plate = _placed(SIZES["medium"].photo)
    middle, beside = plate.y_mm + plate.height_mm / 2, plate.y_mm + plate.height_mm - 1
    across = plate.x_mm + plate.width_mm * 0.75
    red, dark, grey = (
        page.getpixel((round(x / 25.4 * 300), round(y / 25.4 * 300)))
        for x, y in ((across, middle), (plate.x_mm + plate.width_mm * 0.25, middle), (across, beside))
    )

    assert red[0] > 220
    assert red[1] < 40
    assert max(dark) < 40
    assert grey[0] == grey[1] == grey[2] == pytest.approx(118, abs=2)


def test_a_photograph_that_cannot_be_read_is_told(tmp_path):
    (tmp_path / "torn.jpg").write_bytes(b"\xff\xd8\xff\xe0 torn")
    printed = print_cards([replace(CARD, photo=tmp_path / "torn.jpg")], CardJob())

    assert [(note.number, note.sentence) for note in printed.notes] == [
        ("1042-9", "Its photo could not be read and is left out.")
    ]


def test_what_the_camera_wrote_into_the_photograph_is_not_handed_on(tmp_path):
    exif = Image.Exif()
    exif[0x010E] = "at the back door of 7 Kiln Lane"
    Image.new("RGB", (60, 40), "grey").save(tmp_path / "told.jpg", exif=exif)
    pdf = print_cards([replace(CARD, photo=tmp_path / "told.jpg")], CardJob()).pdf

    assert b"Kiln Lane" not in pdf


def test_a_tile_without_photograph_says_so():
    assert "No photo yet" in words(print_cards([CARD], CardJob()).pdf)


def test_what_finds_no_room_is_told_once_a_card():
    many = tuple(
        ZoneWords(f"zone {n}", "Winter Orchard ×2 + Harbour ×3", "satin, opaque; run 2 mm") for n in range(30)
    )
    crowded = replace(CARD, firings=(FiringWords("F-0231", CONDITIONS, many),))
    notes = print_cards([crowded], CardJob(size="small")).notes

    assert len(notes) == 1
    assert notes[0].number == "1042-9"
    assert "zone 29" in notes[0].sentence
    assert CONDITIONS in notes[0].sentence


def _placed(box: Box) -> Box:
    """A box of the first card of an A4 page, by hand: the block of 190 × 260 mm stands in the middle."""
    return Box(box.x_mm + (210 - 190) / 2, box.y_mm + (297 - 260) / 2, box.width_mm, box.height_mm)


BROWN = "#8a4b2f"
MEASURED = replace(ZONES[1], colour=BROWN, colour_words="L* 39.0, a* 24.0, b* 26.0, by instrument")
MEASURED_CARD = replace(
    CARD, firings=(FiringWords("F-0231 · 14 Oct 2026", CONDITIONS, (ZONES[0], MEASURED, ZONES[2])),)
)


@pytest.mark.parametrize("size", SIZES)
def test_a_measured_colour_is_a_patch_with_what_it_stands_for(size):
    printed = print_cards([MEASURED_CARD], CardJob(size=size))
    picture = pypdfium2.PdfDocument(printed.pdf)[0].render(scale=4).to_pil().convert("RGB")
    text = words(printed.pdf)

    assert printed.notes == ()
    assert "L* 39.0, a* 24.0, b* 26.0, by instrument" in text
    assert "no colour reference" in text
    assert (0x8A, 0x4B, 0x2F) in {colour for _, colour in picture.getcolors(1 << 24)}


def test_a_card_without_measured_colour_has_no_patch_and_no_word_of_it():
    layout = lay_out(CARD, SIZES["medium"])

    assert not [mark for mark in layout.marks if isinstance(mark, Patch)]
    assert "no colour reference" not in words(print_cards([CARD], CardJob()).pdf)


@pytest.mark.parametrize("size", SIZES)
def test_a_patch_is_as_high_as_its_line_and_stands_before_the_words(size):
    layout = lay_out(MEASURED_CARD, SIZES[size])
    (patch,) = [mark for mark in layout.marks if isinstance(mark, Patch)]
    line = next(mark for mark in layout.marks if isinstance(mark, Words) and mark.text.startswith("L* 39"))

    assert patch.box.right_mm < line.x_mm
    assert patch.box.y_mm < line.baseline_mm <= patch.box.bottom_mm + 0.5


@pytest.mark.parametrize("size", SIZES)
def test_a_card_says_where_its_tile_is(size):
    printed = print_cards([replace(CARD, where="By the door, row 2, column 5")], CardJob(size=size))

    assert "By the door, row 2, column 5" in words(printed.pdf)
    assert printed.notes == ()
