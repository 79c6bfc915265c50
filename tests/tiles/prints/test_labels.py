"""Label sheets: where labels lie, what stands on them, and that their codes are read."""

import re
from dataclasses import replace

import pypdfium2
import pytest

from tests.tiles.prints.reading import as_printed, codes_seen, ink_mm, rendered, size_mm, words
from tiles.prints.fonts import ASCENT, DESCENT
from tiles.prints.labels import FLOOR_PT, LabelFacts, LabelJob, lay_out, look_of, print_labels
from tiles.prints.marks import Code, Layout, Plate, Words
from tiles.prints.paper import Paper
from tiles.prints.stock import KNOWN, Box, Calibration, Stock, roll

LAN = "http://192.168.178.123:8000"
BY_NAME = {stock.name: stock for stock in KNOWN}
A4_24 = BY_NAME["A4, 3 × 8, 63.5 × 33.9 mm"]
BRIEF = LabelFacts("1042-9", "Flux L ×1 + Harbour ×3", "Dune speckled · cone 6 oxidation", LAN)


def numbered(count: int, address: str = LAN) -> list[LabelFacts]:
    return [replace(BRIEF, number=f"{1000 + n}-{n % 10}", address=address) for n in range(count)]


@pytest.mark.parametrize("stock", KNOWN, ids=lambda stock: stock.name)
def test_labels_lie_where_the_numbers_say(stock):
    # A frame as large as the label, drawn at the first and the last cell and measured on the rendered page.
    frame = Layout("", stock.label_width_mm, stock.label_height_mm)
    frame.marks.append(Plate(Box(0, 0, stock.label_width_mm, stock.label_height_mm), grey=0))
    for index in {0, stock.labels_per_sheet - 1}:
        paper = Paper(stock.sheet_width_mm, stock.sheet_height_mm, title="Frame")
        paper.draw(frame, stock.cell(index))
        pdf = paper.finish().pdf
        row, column = divmod(index, stock.columns)
        left = stock.margin_left_mm + column * stock.pitch_x_mm
        top = stock.margin_top_mm + row * stock.pitch_y_mm
        ink = ink_mm(rendered(pdf, 600), 600, (0, 0, stock.sheet_width_mm, stock.sheet_height_mm))

        assert ink == pytest.approx(
            (left, top, left + stock.label_width_mm, top + stock.label_height_mm), abs=0.1
        )


def test_the_page_is_as_large_as_the_sheet():
    assert size_mm(print_labels([BRIEF], LabelJob(A4_24)).pdf) == pytest.approx((210, 297), abs=0.01)
    assert size_mm(print_labels([BRIEF], LabelJob(roll(62, 29))).pdf) == pytest.approx((62, 29), abs=0.01)


LINE = (
    "3 coats Harbour (lot 24-118) brushed over 1 coat Flux L, on Dune speckled; target cone 6, reached 5.8 "
    "(witness cones), oxidation, 10 min hold; kiln Oriel, shelf 3 front; 14 Oct 2026"
)


@pytest.mark.parametrize(
    ("stock", "whole"),
    [(BY_NAME["A4, 2 × 4, 99.1 × 67.7 mm"], True), (A4_24, True), (roll(25, 25), False)],
    ids=["large", "usual", "small"],
)
def test_the_conditions_line_stands_on_every_label_where_it_can_be_read(stock, whole):
    printed = words(print_labels([replace(BRIEF, line=LINE)], LabelJob(stock)).pdf)

    assert (LINE in printed) == whole
    assert ("Dune speckled cone 6 oxidation" in printed) != whole


MANY_ZONES = "; ".join(f"band {n}: {LINE}" for n in range(1, 9))
TWICE_FIRED = "Dune speckled · cone 6, reached 5.8, oxidation, then cone 6, reached 5.9, oxidation"


def sizes_of(facts: list[LabelFacts], stock: Stock) -> list[list[float]]:
    """The sizes of the words on each of the labels printed together, number, stack and conditions."""
    look = look_of(facts, stock)
    laid = [lay_out(label, stock, look=look) for label in facts]
    return [sorted({mark.size_pt for mark in layout.marks if isinstance(mark, Words)}) for layout in laid]


@pytest.mark.parametrize("stock", [A4_24, BY_NAME["A4, 4 × 10, 48.5 × 25.4 mm"]], ids=["24", "40"])
def test_labels_printed_together_are_of_one_size(stock):
    stacks = ("Harbour ×1–3", "Flux L ×1 + Slate Wing ×2–3; Slate Wing ×2–3", "Chalk Road ×1 + Honey Sill ×2")
    facts = [
        replace(BRIEF, stack=stacks[n % 3], conditions=TWICE_FIRED if n % 4 else BRIEF.conditions)
        for n in range(12)
    ]
    sizes = sizes_of(facts, stock)

    assert len(sizes[0]) == 3
    assert all(of_one == sizes[0] for of_one in sizes)


def test_one_label_with_much_to_say_leaves_the_others_large():
    alone = sizes_of([BRIEF], A4_24)
    among = sizes_of([*[BRIEF] * 19, replace(BRIEF, conditions=", then ".join([TWICE_FIRED] * 3))], A4_24)

    assert among[:19] == alone * 19
    assert among[19] < alone[0]


def test_all_labels_of_a_job_say_the_whole_line_or_few_words():
    short, long = replace(BRIEF, line=LINE), replace(BRIEF, number="1043-5", line=MANY_ZONES)
    both = words(print_labels([short, long], LabelJob(A4_24)).pdf)

    assert LINE in words(print_labels([short], LabelJob(A4_24)).pdf)
    assert LINE not in both
    assert both.count("Dune speckled") == 2
    # One among many that has no room does not take the line from the others.
    assert words(print_labels([*[short] * 19, long], LabelJob(A4_24)).pdf).count(LINE) == 19


def test_a_glaze_and_its_coats_stay_on_one_line():
    layout = lay_out(
        replace(BRIEF, stack="Chalk Road ×1 + Honey Sill ×2"), BY_NAME["A4, 4 × 10, 48.5 × 25.4 mm"]
    )
    lines = [mark.text.replace("\xa0", " ") for mark in layout.marks if isinstance(mark, Words)]

    assert lines[1:3] == ["Chalk Road ×1", "+ Honey Sill ×2"]


def lines_of(conditions: str, stock: Stock) -> list[str]:
    """The lines below number and stack."""
    layout = lay_out(replace(BRIEF, stack="Honey Sill ×2", conditions=conditions), stock)
    return [mark.text.replace("\xa0", " ") for mark in layout.marks if isinstance(mark, Words)][2:]


@pytest.mark.parametrize(
    "stock",
    [A4_24, BY_NAME["A4, 4 × 10, 48.5 × 25.4 mm"], BY_NAME["A4, 3 × 7, 63.5 × 38.1 mm"]],
    ids=["24", "40", "21"],
)
@pytest.mark.parametrize(
    "conditions",
    [TWICE_FIRED, "Barn Red · cone 04, reached 0.9 past 05, oxidation", "Dune · cone 6, reduction"],
)
def test_no_atmosphere_stands_on_a_line_of_its_own(stock, conditions):
    """“oxidation” alone on the third line was taken for another firing."""
    lines = lines_of(conditions, stock)

    assert " ".join(lines).replace(" ·", "").replace(",", "") == conditions.replace(" ·", "").replace(",", "")
    assert not {"oxidation", "oxidation,", "reduction"} & set(lines)


def test_each_firing_begins_a_line_where_there_is_room():
    [body, *heat] = lines_of(TWICE_FIRED, BY_NAME["A4, 2 × 7, 99.1 × 38.1 mm"])

    assert body == "Dune speckled"
    assert heat == ["cone 6, reached 5.8, oxidation", "then cone 6, reached 5.9, oxidation"]


def test_where_most_labels_have_room_for_the_line_it_stands_on_them():
    short, long = replace(BRIEF, line=LINE), replace(BRIEF, number="1043-5", line=MANY_ZONES)
    mixed = [short, short, long]
    printed = words(print_labels(mixed, LabelJob(A4_24)).pdf)

    assert printed.count(LINE) == 2
    assert "band 8" not in printed
    # What the last one says does not make the line on the others smaller.
    assert sizes_of(mixed, A4_24)[0] == sizes_of([short], A4_24)[0]


def test_a_printer_that_misses_is_corrected():
    job = LabelJob(A4_24, codes=False)
    shifted = replace(job, calibration=Calibration(offset_x_mm=2.0, offset_y_mm=-1.5))
    whole = (0, 0, 210, 297)
    true = ink_mm(rendered(print_labels([BRIEF], job).pdf, 600), 600, whole)
    moved = ink_mm(rendered(print_labels([BRIEF], shifted).pdf, 600), 600, whole)

    assert [b - a for a, b in zip(true, moved, strict=True)] == pytest.approx([2, -1.5, 2, -1.5], abs=0.1)


def test_a_used_sheet_is_begun_at_its_next_label():
    pdf = print_labels([BRIEF], LabelJob(A4_24, start_cell=24)).pdf
    left, top, right, bottom = ink_mm(rendered(pdf, 300), 300, (0, 0, 210, 297))
    cell = A4_24.cell(23)

    assert cell.x_mm <= left < right <= cell.right_mm
    assert cell.y_mm <= top < bottom <= cell.bottom_mm


def test_labels_run_on_to_further_sheets():
    printed = print_labels(numbered(50), LabelJob(A4_24, start_cell=20))

    assert printed.pages == len(pypdfium2.PdfDocument(printed.pdf)) == 3
    assert "1004-4" in words(printed.pdf, 0)
    assert "1005-5" in words(printed.pdf, 1)
    assert "1049-9" in words(printed.pdf, 2)


def test_a_start_cell_beyond_the_sheet_is_refused():
    with pytest.raises(IndexError, match="1 to 24, not 25"):
        print_labels([BRIEF], LabelJob(A4_24, start_cell=25))


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("stock", KNOWN, ids=lambda stock: stock.name)
def test_every_code_of_a_sheet_is_read_as_printed(stock, dpi):
    count = min(stock.labels_per_sheet, 24)
    facts = numbered(count)
    printed = print_labels(facts, LabelJob(stock))

    expected = sorted(f"HTTP://192.168.178.123:8000/T/{fact.number}" for fact in facts)
    assert codes_seen(as_printed(rendered(printed.pdf, dpi))) == expected


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize(
    "address", ["https://glaze.example", "http://[fd00::8a2e:370:7334]:8000", LAN + "/Studio"]
)
def test_codes_of_other_addresses_are_read_from_a_common_label(address, dpi):
    printed = print_labels(numbered(24, address), LabelJob(A4_24))
    seen = codes_seen(as_printed(rendered(printed.pdf, dpi)))

    assert len(seen) == 24
    assert all(code.lower().startswith(f"{address.lower()}/t/10") for code in seen)


@pytest.mark.parametrize("stock", KNOWN, ids=lambda stock: stock.name)
def test_words_and_code_lie_on_the_label_and_apart(stock):
    layout = lay_out(BRIEF, stock)
    code = next(mark.box for mark in layout.marks if isinstance(mark, Code))

    assert code.x_mm >= -1e-6
    assert code.right_mm <= stock.label_width_mm + 1e-6
    assert code.y_mm >= -1e-6
    assert code.bottom_mm <= stock.label_height_mm + 1e-6
    for mark in (mark for mark in layout.marks if isinstance(mark, Words)):
        top = mark.baseline_mm - ASCENT * mark.size_pt / 72 * 25.4
        bottom = mark.baseline_mm + DESCENT * mark.size_pt / 72 * 25.4
        right = mark.x_mm + _width_mm(mark)
        assert mark.size_pt >= FLOOR_PT
        assert mark.x_mm > 1
        assert bottom <= stock.label_height_mm - 1
        assert right <= code.x_mm + 0.01 or bottom <= code.y_mm + 0.01 or top >= code.bottom_mm


def _width_mm(mark: Words) -> float:
    """How wide the words come out, measured on a page of their own."""
    alone = Layout("", 400, 50, [replace(mark, x_mm=5, baseline_mm=30, grey=0)])
    paper = Paper(400, 50, title="")
    paper.draw(alone, Box(0, 0, 400, 50))
    left, _, right, _ = ink_mm(rendered(paper.finish().pdf, 300), 300, (0, 0, 400, 50))
    return right - left


@pytest.mark.parametrize("stock", KNOWN, ids=lambda stock: stock.name)
def test_a_label_says_number_stack_body_and_cone(stock):
    printed = print_labels([BRIEF], LabelJob(stock))
    text = words(printed.pdf)

    assert printed.notes == ()
    assert re.search(r"1042-9 Flux L ×1 \+ Harbour ×3 Dune speckled( ·)? cone 6 oxidation", text)


def test_what_does_not_fit_is_told_with_its_number():
    wordy = replace(BRIEF, stack="Iron Wash ×1 + Winter Orchard ×2 + Blue Ash ×1 + Harbour ×3 + Flux L ×1")
    notes = print_labels([BRIEF, replace(wordy, number="1043-5")], LabelJob(roll(25, 25))).notes

    assert [note.number for note in notes] == ["1043-5"]
    assert "Left out" in notes[0].sentence
    assert "oxidation" in notes[0].sentence


def test_letters_our_fonts_lack_are_told():
    notes = print_labels([replace(BRIEF, stack="🏺🪨 ×2")], LabelJob(A4_24)).notes

    assert [note.sentence for note in notes] == [
        "Our fonts cannot print these letters, so ▯ stands for them: 🏺 🪨"
    ]


def test_a_label_too_small_for_its_code_is_warned_of():
    notes = print_labels([BRIEF], LabelJob(roll(25, 10))).notes

    assert any("many label printers blur them" in note.sentence for note in notes)


def test_labels_can_do_without_codes():
    printed = print_labels([BRIEF], LabelJob(A4_24, codes=False))

    assert codes_seen(rendered(printed.pdf, 300)) == []
    assert "1042-9" in words(printed.pdf)


def test_a_file_of_labels_says_what_it_is_and_is_printed_at_full_size():
    printed = print_labels([BRIEF], LabelJob(A4_24, title="Labels of firing F-0231", studio="Oriel Yard"))
    document = pypdfium2.PdfDocument(printed.pdf)

    assert document.get_metadata_dict()["Title"] == "Labels of firing F-0231"
    assert document.get_metadata_dict()["Author"] == "Oriel Yard"
    assert b"/PrintScaling /None" in printed.pdf


def test_every_font_is_embedded():
    pdf = print_labels([BRIEF], LabelJob(A4_24)).pdf

    fonts = re.findall(rb"/BaseFont /(\S+)", pdf)
    assert fonts
    assert pdf.count(b"/FontFile2") == len(set(fonts))
