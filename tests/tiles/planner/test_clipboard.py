"""The clip-board sheet: nothing cut, rows whole, every tile on a page."""

import pytest

from tests.tiles.prints.reading import size_mm, words
from tiles.planner.clipboard import SheetFacts, SheetRow, sheets
from tiles.prints.paper import laid_page, print_pages

ROW = SheetRow(
    "1042-9", "Dune speckled, three-band tile", "cone 6", "firing 1, shelf 2", (("band 1", "Harbour ×1"),)
)


def printed(facts, paper="A4"):
    layouts = sheets(facts, paper)
    return print_pages([laid_page(layout) for layout in layouts], title=facts.title), layouts


def test_a_long_series_turns_over_and_says_which_page():
    facts = SheetFacts("Harbour", "", tuple(ROW for _ in range(60)))

    pdf, layouts = printed(facts)

    assert pdf.pages == len(layouts) > 1
    assert f"1 of {pdf.pages}" in words(pdf.pdf)
    assert f"{pdf.pages} of {pdf.pages}" in words(pdf.pdf, pdf.pages - 1)
    assert sum(words(pdf.pdf, page).count("1042-9") for page in range(pdf.pages)) == 60
    assert all("glazed" in words(pdf.pdf, page) for page in range(pdf.pages))


@pytest.mark.parametrize(("paper", "size"), [("A4", (210, 297)), ("Letter", (215.9, 279.4))])
def test_sheets_are_as_large_as_the_paper(paper, size):
    pdf, _ = printed(SheetFacts("Harbour", "", (ROW,)), paper)

    assert size_mm(pdf.pdf) == pytest.approx(size, abs=0.1)


def test_no_mark_lies_beyond_the_margin():
    zones = tuple(
        (f"band {n}", "Flux L ×1 + A glaze with a rather long name indeed ×3 + Flux L ×1") for n in range(6)
    )
    facts = SheetFacts(
        "T" * 120,
        "q" * 200,
        (SheetRow("1042-9", "A clay of a long name", "cone 10, reduction", "", zones),) * 9,
    )

    for layout in sheets(facts):
        for mark in layout.marks:
            right = getattr(mark, "x2_mm", None) or getattr(mark, "x_mm", 0)
            assert right <= layout.width_mm - 12 + 0.1


def test_what_to_weigh_for_mixes_stands_on_the_sheet():
    facts = SheetFacts("Blend", "", (ROW,), (("Harbour 50 + Quay 50", "Harbour 50 g, Quay 50 g"),))

    pdf, _ = printed(facts)

    assert "Harbour 50 g, Quay 50 g" in words(pdf.pdf)


def test_letters_that_cannot_be_shown_are_told():
    (layout,) = sheets(SheetFacts("Harbour", "", (SheetRow("1042-9", "\U00012000", "", "", ()),)))

    assert any("cannot print" in note.sentence for note in layout.notes)
