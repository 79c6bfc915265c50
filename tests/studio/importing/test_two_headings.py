"""A heading of two rows, words over groups of columns above the columns' own, is read as people mean it."""

import pytest
from django.urls import reverse

from studio.importing.columns import guessed
from studio.importing.fields import RESULT_FIELDS, RESULTS
from studio.importing.headings import heading_row, headings_of
from studio.importing.reading import read_grid
from studio.importing.services import take_in
from tests.studio.importing.test_pages import brought, words
from tests.studio.importing.test_reading import workbook
from tiles.models import Glaze, Outcome

GROUPS = ["Tile", None, "Glaze", None, "Under", None, "Fired", None, None, "Surface", None, "Flaws", "Notes"]
OWN = [
    "No",
    "Clay",
    "Name",
    "Coats",
    "Glaze",
    "Coats",
    "Date",
    "Kiln",
    "Cone",
    "Result",
    "Run (mm)",
    "Remarks",
    None,
]
MEANT = [
    *("tile", "body", "glaze", "coats", "under", "under_coats"),
    *("date", "kiln", "cone", "surface", "run", "flaws", "remark"),
]
BELOW = [
    ["T1", "Dune", "Harbour", "2c", "Flux L", "1", "2025-10-14", "Oriel", "6", "glossy", "2", "crazing", "blue"],
    ["T2", "Dune", "Harbour", "3c", None, None, "2025-10-14", "Oriel", "6", "matt", "0", "none", "as hoped"],
]  # fmt: skip
MERGED = ["A2:B2", "C2:D2", "E2:F2", "G2:I2", "J2:K2", "M2:M3"]
TITLE = ["Our tests 2025"]
ROWS = [TITLE, GROUPS, OWN, *BELOW]


def as_csv(rows):
    return "\n".join(";".join(cell or "" for cell in row) for row in rows).encode()


@pytest.mark.parametrize(
    "data",
    [workbook(ROWS, ["A1:M1", *MERGED]), workbook(ROWS), as_csv(ROWS), as_csv(ROWS[1:])],
    ids=["merged cells", "cells left empty", "csv", "without a title"],
)
def test_a_column_is_known_by_its_own_word_and_the_one_over_its_group(data):
    grid = read_grid(data)
    header = heading_row(grid, RESULT_FIELDS)

    assert grid.rows[header][:3] == ("No", "Clay", "Name")
    assert [one.field for one in guessed(grid, header, RESULTS, RESULT_FIELDS, {})] == MEANT


@pytest.mark.django_db
def test_what_stands_under_surface_is_kept_as_the_surface_and_not_as_a_remark(keeper):
    report = take_in(workbook(ROWS, MERGED), "results", by=keeper, only_try=False)

    assert [str(one) for one in report.messages] == []
    first, second = Outcome.objects.order_by("tile__number")
    assert (first.surface, first.remark, [one.kind for one in first.flaws.all()]) == (
        *("glossy", "blue"), ["crazing"],
    )  # fmt: skip
    assert (second.surface, second.remark, second.flaws.count()) == ("matt", "as hoped", 0)


@pytest.mark.django_db
def test_the_page_says_in_which_two_rows_the_headings_stand_and_why_a_column_is_taken_so(recorder_client):
    of = brought(recorder_client, workbook(ROWS, MERGED), name="two.xlsx")
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))

    assert "The headings stand in rows 2 and 3" in page
    assert "Surface: Result" in page
    assert "it stands under “Surface”, and its cells read so" in page


def test_free_words_under_surface_stay_a_remark():
    rows = [
        ["Tile", "", "Surface", ""],
        ["No", "Clay", "Finish", "Notes"],
        ["1", "Dune", "satin", "lovely on the rim"],
    ]
    grid = read_grid(as_csv([*rows, rows[-1]]))

    found = guessed(grid, heading_row(grid, RESULT_FIELDS), RESULTS, RESULT_FIELDS, {})
    assert [one.field for one in found] == ["tile", "body", "surface", "remark"]


def test_a_title_is_no_word_over_a_group_and_one_row_of_headings_stays_one():
    rows = [["Test"], ["Tile", "Clay", "Glaze", "", "Surface"], ["A", "Dune", "Base", "over flow", "gloss"]]
    grid = read_grid(as_csv([*rows, ["B2", "Dune", "Base", "", "gloss"]]))
    header = heading_row(grid, RESULT_FIELDS)

    assert [one.words for one in headings_of(grid, header, RESULT_FIELDS)] == list(rows[1])


@pytest.mark.django_db
def test_from_and_to_under_cone_and_coats_are_read_in_a_list_of_glazes(keeper):
    rows = [
        ["Glaze", "Cone", "", "Coats", ""],
        ["Name", "from", "to", "from", "to"],
        ["Harbour", "5", "6", "2", "3"],
    ]
    take_in(as_csv([*rows, ["Flux L", "6", "6", "1", "2"]]), "glazes", by=keeper, only_try=False)

    harbour = Glaze.objects.get(name="Harbour")
    assert (harbour.cone_range, harbour.coats_low, harbour.coats_high) == ("cone 5 to 6", 2, 3)
