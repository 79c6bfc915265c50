"""Last year's results from a spreadsheet: tiles, layers, firings and what was seen, whole or not at all."""

from datetime import date
from decimal import Decimal

import pytest

from firings.models import Firing
from studio.importing.services import take_in
from studio.models import SpreadsheetImport
from tests.factories import ClayBodyFactory, GlazeFactory, TileFactory
from tiles.conditions.queries import untrue_copies
from tiles.models import ClayBody, Flaw, Glaze, Layer, Outcome, Placement, Tile

pytestmark = pytest.mark.django_db

SHEET = """Our tests;;;;;;;;;;;;
;;;;;;;;;;;;
No;Clay;Combo;Band;Firing;Date;Kiln;Cone;Hold (h);Finish;Run, mm;Faults;Notes
17;Dune;Flux L x2 + Harbour x3;1;F3;14/10/2025;Oriel;6 ox;0,25;gloss;2,5;slight crazing, pinholes;runs blue
17;Dune;Flux L x2 + HARBOUR x2;2;F3;;;;;satin;0;;
18;dune;Harbour 3 coats;;4;3/4/2025;Oriel;10R;;matte;ran off;none;
"""


def test_an_ugly_list_becomes_tiles_layers_firings_and_results(keeper):
    GlazeFactory(name="Harbour")
    report = take_in(SHEET.encode(), "results", by=keeper, only_try=False)

    assert [str(one) for one in report.messages] == []
    assert report.counts == {"rows": 3, "tiles": 2, "results": 3, "firings": 2}
    assert report.new == {"body": ["Dune"], "form": ["test tile"], "glaze": ["Flux L"], "kiln": ["Oriel"]}
    tile = Tile.objects.get(note__startswith="Old number 17.")
    assert [str(layer.glaze) for layer in tile.layers.all()] == ["Flux L", "Harbour"]
    one, two = tile.outcomes.order_by("zone__position")
    assert (one.surface, one.run_mm, one.remark) == ("glossy", Decimal("2.5"), "runs blue")
    assert {(flaw.kind, flaw.severity) for flaw in one.flaws.all()} == {
        ("crazing", "slight"),
        ("pinholing", "slight"),
    }
    assert (two.coats_top, two.coats_total, two.surface) == (2, 4, "satin")
    assert (one.target_order, one.atmosphere, one.hold_min, one.fired_on) == (
        30,
        "oxidation",
        15,
        date(2025, 10, 14),
    )
    other = Outcome.objects.get(runs_off=True)
    assert (other.atmosphere, other.target_order, other.fired_on) == ("reduction", 34, date(2025, 4, 3))
    assert list(untrue_copies()) == []


def test_every_record_has_a_history_that_says_who(keeper):
    take_in(SHEET.encode(), "results", by=keeper, only_try=False)
    for model in (Tile, Layer, Placement, Outcome, Flaw, Firing, Glaze, ClayBody):
        rows = model.history.all()
        assert rows.count() == model.objects.count() > 0
        assert {(row.history_type, row.history_user) for row in rows} == {("+", keeper)}


def test_the_same_rows_again_make_nothing_twice(keeper):
    take_in(SHEET.encode(), "results", by=keeper, only_try=False)
    before = (Tile.objects.count(), Firing.objects.count(), Outcome.objects.count())
    again = take_in(SHEET.encode(), "results", by=keeper, only_try=False, name="copy.csv")
    assert again.unchanged == 3
    assert again.counts["tiles"] == 0
    assert (Tile.objects.count(), Firing.objects.count(), Outcome.objects.count()) == before


def test_rows_without_numbers_are_known_again_by_what_they_say_and_how_often(keeper):
    rows = "body,glaze,coats,date,kiln,cone\n" + "Dune,Harbour,3,2025-01-02,Oriel,6\n" * 2
    take_in(rows.encode(), "results", by=keeper, only_try=False)
    more = take_in(
        (rows + "Dune,Harbour,3,2025-01-02,Oriel,6\n").encode(), "results", by=keeper, only_try=False
    )
    assert (more.unchanged, more.counts["tiles"]) == (2, 1)
    assert Tile.objects.count() == 3
    assert Firing.objects.count() == 1


def test_one_wrong_cell_keeps_all_of_it_out(keeper):
    report = take_in(SHEET.replace("3/4/2025", "soon").encode(), "results", by=keeper, only_try=False)
    assert [(one.row, one.column) for one in report.messages] == [(6, "Date")]
    assert not Tile.objects.exists()
    assert not SpreadsheetImport.objects.exists()


def test_a_dry_run_shows_the_conditions_lines_and_keeps_nothing(keeper):
    report = take_in(SHEET.encode(), "results", by=keeper, only_try=True)
    assert report.shown[0].line == (
        "1: 3 coats Harbour brushed over 2 coats Flux L, on Dune; target cone 6, oxidation, 15 min hold; "
        "kiln Oriel; 14 Oct 2025"
    )
    assert report.shown[0].seen == "glossy, run 2.5 mm, slight crazing, slight pinholing, runs blue"
    assert not Glaze.objects.exists()


def test_a_tile_that_was_fired_again_with_more_on_it_has_two_firings(keeper):
    rows = (
        "tile,body,stack,date,kiln,cone\n"
        "A1,Dune,Flux L x1,2025-01-02,Oriel,6\n"
        "A1,Dune,Flux L x1 + Harbour x2,2025-02-02,Oriel,6\n"
    )
    report = take_in(rows.encode(), "results", by=keeper, only_try=False)
    assert report.messages == []
    first, second = Outcome.objects.order_by("firing_count")
    assert (first.layer_count, second.layer_count) == (1, 2)
    assert list(untrue_copies()) == []


def test_a_number_with_its_check_digit_is_the_tiles_own(keeper):
    TileFactory(number=1001, body=ClayBodyFactory(name="Dune"))
    rows = "tile,body,glaze,coats,date,kiln,cone\n1042-9,Dune,Harbour,3,2025-01-02,Oriel,6\n"
    take_in(rows.encode(), "results", by=keeper, only_try=False)
    assert Tile.objects.filter(number=1042).exists()


UGLY = """No;Clay;Glaze;Coats;Date;Kiln;Cone;Surface
batch 1, fired slowly;;;;;;;
T1;Dune;Harbour;2c;14/3/2025;Oriel;^6;satin
T2;Dune;Harbour;3c;;;;matt
;;;;;;;
;;;;batch 2, refired by hand;;;
T3;Dune;Harbour;3c;;;;matt
T4;Dune;Harbour;2 coats;28 April 2025;;;glossy
Total;4;;;;;;
"""


def test_a_remark_between_the_rows_and_a_total_below_them_are_no_results(keeper):
    report = take_in(UGLY.encode(), "results", by=keeper, only_try=False)

    assert [str(one) for one in report.messages] == []
    assert report.said == [
        "Set aside, as nothing to keep stands there: row 2, “batch 1, fired slowly”, a remark; "
        "row 6, “batch 2, refired by hand”, a remark; row 9, “Total”, a total."
    ]
    # What stands once for a firing holds below a remark too, even one in its own column.
    assert list(Outcome.objects.order_by("tile__note").values_list("fired_on", flat=True)) == [
        date(2025, 3, 14),
        date(2025, 3, 14),
        date(2025, 3, 14),
        date(2025, 4, 28),
    ]


def test_a_row_of_one_cell_that_may_be_meant_as_a_result_is_not_passed_over(keeper):
    sheet = (
        "No;Clay;Glaze;Coats;Date;Kiln;Cone\nT1;Dune;Harbour;2;2025-01-02;Oriel;6\n17;;;;;;\n;;Iron red;;;;\n"
    )
    report = take_in(sheet.encode(), "results", by=keeper, only_try=False)

    assert report.said == []
    assert report.rows_to_mend == [3, 4]


@pytest.mark.parametrize(
    ("cell", "severity"),
    [("x", "slight"), ("yes", "slight"), ("1", "slight"), ("2", "marked"), ("+++", "severe"), ("Severe", "severe"),
     ("a few", "slight"), ("", None), ("no", None), ("0", None), ("-", None)],
)  # fmt: skip
def test_a_column_of_one_flaw_says_by_a_mark_how_much_of_it_there_is(keeper, cell, severity):
    sheet = f"No;Clay;Glaze;Coats;Date;Kiln;Cone;Crazed;Pin-holes\n1;Dune;Moss;2;2025-01-02;Oriel;6;{cell};\n"
    report = take_in(sheet.encode(), "results", by=keeper, only_try=False)

    assert report.messages == []
    assert report.left_out == []
    found = list(Flaw.objects.values_list("kind", "severity"))
    assert found == ([("crazing", severity)] if severity else [])


def test_columns_of_one_flaw_stand_beside_a_column_for_all_and_the_more_severe_holds(keeper):
    sheet = (
        "No;Clay;Glaze;Coats;Date;Kiln;Cone;Flaws;Crazing;Pinholes\n"
        "1;Dune;Moss;2;2025-01-02;Oriel;6;severe crazing, scum;1;xx\n"
    )
    take_in(sheet.encode(), "results", by=keeper, only_try=False)

    assert set(Flaw.objects.values_list("kind", "severity")) == {
        ("crazing", "severe"),
        ("pinholing", "marked"),
        ("scumming", "slight"),
    }


def test_a_cell_that_does_not_say_how_much_of_a_flaw_there_is_says_what_to_write(keeper):
    sheet = "No;Clay;Glaze;Coats;Date;Kiln;Cone;Crazing\n1;Dune;Moss;2;2025-01-02;Oriel;6;7\n"
    (message,) = take_in(sheet.encode(), "results", by=keeper, only_try=False).messages

    assert (message.row, message.column) == (2, "Crazing")
    assert message.words == (
        "“7” does not say how much crazing there is. Write slight, marked or severe, or 1, 2 or 3; "
        "x where it was not said; nothing where there is none."
    )
    assert not Outcome.objects.exists()
