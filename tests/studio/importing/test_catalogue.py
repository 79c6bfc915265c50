"""Glazes and clay bodies from spreadsheets: whole or not at all, and nothing twice."""

from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command

from studio.importing import names
from studio.importing.services import take_in
from tests.factories import ClayBodyFactory, GlazeFactory
from tiles.models import ClayBody, Glaze

GLAZES = "Glaze;Type;Meant from cone;To cone;Surface;Runs;Shelf\nHarbour;glaze;Cone 5;6;glossy;x;3\nFlux L;;04;6;;no;\n"


@pytest.mark.django_db
def test_a_list_of_glazes_comes_in_and_the_same_list_again_makes_nothing_twice(keeper):
    first = take_in(GLAZES.encode(), "glazes", by=keeper, only_try=False)
    assert (first.messages, first.new, first.left_out) == ([], {"record": ["Harbour", "Flux L"]}, ["Shelf"])
    harbour = Glaze.objects.get(name="Harbour")
    assert (harbour.cone_range, harbour.known_runner, harbour.created_by) == ("cone 5 to 6", True, keeper)

    again = take_in(GLAZES.encode(), "glazes", by=keeper, only_try=False)
    assert (again.new, again.changed, again.unchanged) == ({}, [], 2)
    assert Glaze.objects.count() == 2
    assert harbour.history.count() == 1


@pytest.mark.django_db
@pytest.mark.parametrize("figure", ["1,5", "1.5"])
def test_a_figure_is_typed_with_a_comma_or_a_point(keeper, figure):
    take_in(f"Name;Absorption (%)\nDune;{figure}\n".encode(), "bodies", by=keeper, only_try=False)
    assert ClayBody.objects.get(name="Dune").absorption_pct == Decimal("1.5")


@pytest.mark.django_db
def test_a_list_of_glazes_is_read_in_the_words_results_are_read_in(keeper):
    """Who writes gloss and clear of a tile writes them of a glaze too."""
    sheet = b"name,surface,opacity\nLantern,Gloss,clear\nSlate,matte,opaque\n"
    assert take_in(sheet, "glazes", by=keeper, only_try=False).messages == []
    assert list(Glaze.objects.order_by("name").values_list("surface", "opacity")) == [
        ("glossy", "transparent"),
        ("matt", "opaque"),
    ]


@pytest.mark.django_db
def test_one_wrong_cell_keeps_the_whole_list_out_and_is_named(keeper):
    report = take_in(
        b"name,fired colour,absorption\nDune,bufff,2\nSlate,white,lots\n", "bodies", by=keeper, only_try=False
    )
    assert [(c.row, c.column) for c in report.messages] == [(2, "fired colour"), (3, "absorption")]
    assert "Is it “buff”?" in str(report.messages[0])
    assert "write it like 1.5" in str(report.messages[1])
    assert not ClayBody.objects.exists()


@pytest.mark.django_db
def test_a_name_that_stands_twice_in_a_list_is_named_with_both_rows(keeper):
    report = take_in(b"name\nDune\n\ndune\n", "bodies", by=keeper, only_try=False)
    assert str(report.messages[0]) == "row 4, name: “dune” stands in row 2 already. Keep one of the two."
    assert not ClayBody.objects.exists()


@pytest.mark.django_db
def test_a_column_that_is_not_there_changes_nothing_of_a_body(keeper):
    body = ClayBodyFactory(name="Dune", speckled=True, shrinkage_pct=Decimal("11.5"), note="From the pit.")
    report = take_in(b"name,absorption\nDUNE,3\n", "bodies", by=keeper, only_try=False)
    assert (report.messages, report.changed) == ([], ["DUNE"])
    body.refresh_from_db()
    assert body.name == "Dune"
    assert (body.speckled, body.shrinkage_pct, body.note, body.absorption_pct) == (
        True, Decimal("11.5"), "From the pit.", Decimal(3),
    )  # fmt: skip
    assert body.history.first().history_user == keeper


@pytest.mark.django_db
def test_what_begins_like_a_formula_stays_the_text_it_is(keeper):
    take_in(b"name,note\nHarbour,=1+1\n", "glazes", by=keeper, only_try=False)
    assert Glaze.objects.get().note == "=1+1"


@pytest.mark.django_db
def test_a_dry_run_keeps_nothing(keeper):
    report = take_in(b"name\nHarbour\n", "glazes", by=keeper, only_try=True)
    assert report.new == {"record": ["Harbour"]}
    assert not Glaze.objects.exists()


@pytest.mark.django_db
def test_a_file_without_names_is_refused_in_words(keeper):
    GlazeFactory(name="Harbour")
    report = take_in(b"nme,kind\nHarbour,glaze\n", "glazes", by=keeper, only_try=False)
    assert "is it “nme”" in str(report.messages[0])


@pytest.mark.django_db
def test_the_command_says_what_it_did_and_what_is_to_mend(keeper, tmp_path, capsys):
    file = tmp_path / "glazes.csv"
    file.write_text("name\tkind\nHarbour\tglaze\n")
    call_command("import_spreadsheet", "glazes", file, only_try=True, by=keeper.username)
    call_command("import_spreadsheet", "glazes", file, by=keeper.username)
    said = capsys.readouterr().out
    assert "It would make: 1 new glaze, 0 as they were; new: glazes Harbour. Nothing was kept." in said
    assert Glaze.objects.get().name == "Harbour"
    file.write_text("name\tkind\nTide\tpaint\n")
    with pytest.raises(CommandError, match="1 thing to mend first"):
        call_command("import_spreadsheet", "glazes", file, by=keeper.username)


@pytest.mark.django_db
def test_two_columns_that_mean_the_same_are_told_apart_by_the_reader_of_headings(keeper):
    report = take_in(b"name,glaze,kind\nHarbour,x,glaze\n", "glazes", by=keeper, only_try=False)
    assert report.new == {"record": ["Harbour"]}
    assert report.left_out == ["glaze"]


@pytest.mark.django_db
def test_a_new_name_much_like_another_is_pointed_out_before_anything_is_kept(keeper):
    GlazeFactory(name="Tenmoku")
    sheet = "name\nHarbour Blue\nHarbor Blue\nDune 1\nDune 2\nFlux L\nFlux M\nTenmuku\n"
    tried = take_in(sheet.encode(), "glazes", by=keeper, only_try=True)

    assert [words.partition(". ")[0] for words in tried.said] == [
        "“Harbor Blue” would be a new glaze beside “Harbour Blue”, which is new too",
        "“Tenmuku” would be a new glaze beside “Tenmoku”, which is here",
    ]
    assert tried.is_clean  # it may be two glazes: who brings the list in decides


def test_a_name_much_like_several_is_asked_about_with_the_record_it_is_likest_to():
    found = names.Likeness.among(["Harbor Blue", "Harbour Blues"], ["Harbour Blu", "Harbour Blue"])

    assert found.record_near("Harbour Blues") == "Harbour Blue"
    assert found.new_near("Harbour Blues") == ("Harbor Blue",)
    assert found.new_near("Harbor Blue") == ()


def test_a_name_that_makes_no_record_is_not_said_to_be_a_new_one():
    found = names.Likeness.among(["Harbour", "Harbor", "Tenmoku", "Tenmuku"])

    assert [
        said.partition(" beside ")[0] for said in found.said("glaze", ["Harbour", "Tenmoku", "Tenmuku"])
    ] == ["“Tenmuku” would be a new glaze"]
    assert found.new_near("Harbor") == ("Harbour",)


@pytest.mark.django_db
def test_a_list_that_writes_its_new_names_alike_is_told_nothing(keeper):
    tried = take_in(b"name\nHarbour Blue\nTenmoku\nTenmoku\n", "glazes", by=keeper, only_try=True)

    assert tried.said == []


@pytest.mark.django_db
def test_new_names_beyond_those_compared_are_said_to_be(keeper, monkeypatch):
    monkeypatch.setattr(names, "COMPARED", 2)
    tried = take_in(b"name\nHarbour\nDune\nDunne\n", "bodies", by=keeper, only_try=True)

    assert tried.said == ["Only the first 2 of 3 new names were compared with others."]


RANGES = {
    ("Coats", "2–3"): ("cone 5 to 6", 2, 3),
    ("Coats", "2-3"): ("cone 5 to 6", 2, 3),
    ("Recommended coats", "2 to 3 coats"): ("cone 5 to 6", 2, 3),
    ("Coats (brushed)", "Coats 2–3"): ("cone 5 to 6", 2, 3),
    ("No. of coats", "3c"): ("cone 5 to 6", 3, 3),
    ("coats", "two or three"): ("cone 5 to 6", 2, 3),
}


@pytest.mark.django_db
@pytest.mark.parametrize(("heading", "cell"), RANGES)
def test_a_range_of_coats_in_one_column_is_read_into_both_ends(keeper, heading, cell):
    sheet = f"Name;Cones;{heading}\nHarbour;5–6;{cell}\n"
    report = take_in(sheet.encode(), "glazes", by=keeper, only_try=False)

    assert (report.messages, report.left_out) == ([], [])
    harbour = Glaze.objects.get()
    assert (harbour.cone_range, harbour.coats_low, harbour.coats_high) == RANGES[heading, cell]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("cell", "means"),
    [("Cones 5–6", "cone 5 to 6"), ("^6", "cone 6"), ("Δ06 to 04", "cone 06 to 04"), ("5/6", "cone 5 to 6")],
)
@pytest.mark.parametrize("heading", ["Cones", "Cone range", "Cone"])
def test_a_range_of_cones_in_one_column_is_read_into_both_ends(keeper, heading, cell, means):
    for kind, model in (("glazes", Glaze), ("bodies", ClayBody)):
        report = take_in(f"Name;{heading}\nDune;{cell}\n".encode(), kind, by=keeper, only_try=False)

        assert report.messages == []
        assert model.objects.get().cone_range == means


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("cell", "says"),
    [
        ("3-2", "runs backwards: write the smaller number of coats first"),
        ("2025-03-02", "spreadsheets make one of a range such as 2-3. Write it as 2 to 3."),
        ("a few", "is no number of coats"),
        ("1-2-3", "is no range"),
    ],
)
def test_a_range_that_cannot_be_read_is_said_once_at_its_cell(keeper, cell, says):
    report = take_in(f"Name;Coats\nHarbour;{cell}\n".encode(), "glazes", by=keeper, only_try=False)

    (message,) = report.messages
    assert (message.row, message.column) == (2, "Coats")
    assert says in message.words
    assert not Glaze.objects.exists()


@pytest.mark.django_db
def test_an_empty_cell_of_a_range_leaves_what_the_label_said(keeper):
    GlazeFactory(name="Harbour", coats_low=2, coats_high=4)
    report = take_in(b"Name;Coats\nHarbour;\n", "glazes", by=keeper, only_try=False)

    assert report.unchanged == 1
    assert Glaze.objects.get().coats_high == 4


UGLY_LIST = """Name;Kind;Cones;Coats
Harbour;glaze;6;2
Old iron red;;;
notes: dry well between coats;;;
Night Iron;glaze;5-6;3
;;;
Total;3;;
;;;
checked in spring;;;
"""


@pytest.mark.django_db
def test_remarks_and_totals_of_a_list_are_no_glazes_and_a_name_alone_is_one(keeper):
    report = take_in(UGLY_LIST.encode(), "glazes", by=keeper, only_try=False)

    assert report.said == [
        "Set aside, as nothing to keep stands there: row 4, “notes: dry well between coats”, a remark; "
        "row 7, “Total”, a total; row 9, “checked in spring”, a remark."
    ]
    assert sorted(Glaze.objects.values_list("name", flat=True)) == ["Harbour", "Night Iron", "Old iron red"]


@pytest.mark.django_db
def test_names_alone_are_glazes_where_they_are_the_rule_even_below_an_empty_row(keeper):
    sheet = "Name;Kind;Cones\nHarbour;;\nOld iron red;;\nMoss;glaze;6\n;;\nSea green;;\n"
    report = take_in(sheet.encode(), "glazes", by=keeper, only_try=False)

    assert report.said == []
    assert Glaze.objects.filter(name="Sea green").exists()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("heading", "cell", "minutes"),
    [("Drying", "20 min", 20), ("Drying", "1 h", 60), ("Drying", "1 h 30", 90), ("Drying time", "1:30", 90),
     ("Drying (h)", "0,5", 30), ("Drying (h)", "20 min", 20), ("Drying (min)", "20", 20)],
)  # fmt: skip
def test_a_drying_time_is_read_with_the_unit_written_with_it(keeper, heading, cell, minutes):
    report = take_in(
        f"Name;{heading};Coats from\nMoss;{cell};2 coats\n".encode(), "glazes", by=keeper, only_try=False
    )

    assert report.messages == []
    assert (Glaze.objects.get().drying_min, Glaze.objects.get().coats_low) == (minutes, 2)


@pytest.mark.django_db
@pytest.mark.parametrize("cell", ["1,5%", "1.5 %", "1,5 per cent", "1.5"])
def test_an_absorption_is_read_with_its_sign(keeper, cell):
    report = take_in(
        f"Name;Absorption;Hold\nDune;{cell};10 min\n".encode(), "bodies", by=keeper, only_try=False
    )

    assert report.messages == []
    body = ClayBody.objects.get()
    assert (body.absorption_pct, body.default_hold_min) == (Decimal("1.5"), 10)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("kind", "heading", "cell", "says"),
    [
        ("glazes", "Drying", "20 s", "is no time in minutes or hours; write it like 20 min, 1 h or 1:30"),
        ("glazes", "Drying", "90 h", "two days (2880) at most"),
        ("glazes", "Coats from", "2 mm", "is no number of coats"),
        ("bodies", "Absorption", "3 mm", "is no figure in percent; write it like 1.5 or 3%"),
        ("bodies", "Absorption", "300%", "40"),
    ],
)
def test_a_wrong_unit_is_refused_with_what_to_write(keeper, kind, heading, cell, says):
    report = take_in(f"Name;{heading}\nMoss;{cell}\n".encode(), kind, by=keeper, only_try=False)

    (message,) = report.messages
    assert (message.row, message.column) == (2, heading)
    assert says in message.words


@pytest.mark.django_db
def test_what_a_label_warns_of_is_not_left_out_for_its_heading(keeper):
    sheet = "Name;Clear or opaque?;Warnings;What the jar warns of\nMoss;clear;not for the inside of mugs;\n"
    report = take_in(sheet.encode(), "glazes", by=keeper, only_try=False)

    assert report.messages == []
    glaze = Glaze.objects.get()
    assert (glaze.opacity, glaze.cautions) == ("transparent", "not for the inside of mugs")
