"""Bringing a spreadsheet in by the browser: looked at, mended, kept as a whole, undone as a whole."""

import csv
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import Workbook

from firings.models import Firing
from studio.importing import services
from studio.importing.queries import EXAMPLE
from studio.importing.tasks import CHECK, KEEP, UNDO, work_on
from studio.importing.undoing import services as undoing
from studio.models import SpreadsheetImport
from tests.factories import ClayBodyFactory, GlazeFactory
from tiles.conditions.queries import untrue_copies
from tiles.models import ClayBody, Glaze, Outcome, Tile, TileForm

pytestmark = pytest.mark.django_db

ROWS = """tile,body,glaze,coats,date,kiln,cone,surface
1,Dune,Harbour,3,2025-01-02,Oriel,6,satin
2,Dune,Harbour,2,2025-01-02,Oriel,6,matt
"""
COLUMNS = ["tile", "body", "glaze", "coats", "date", "kiln", "cone"]
NOBODY_WORKS = {"default": {"BACKEND": "django_tasks.backends.dummy.DummyBackend"}}


def send(client, data, name="list.csv", kind="results"):
    content = data.encode() if isinstance(data, str) else data
    return client.post(reverse("importing:list"), {"kind": kind, "file": SimpleUploadedFile(name, content)})


def brought(client, data, **more):
    answer = send(client, data, **more)
    assert answer.status_code == 302, answer.content.decode()
    return SpreadsheetImport.objects.latest("pk")


def to(client, name, of, data=None):
    return client.post(reverse(f"importing:{name}", args=[of.pk]), data or {}, follow=True)


def words(answer):
    return " ".join(answer.content.decode().split())


def test_looking_at_a_sheet_changes_nothing_and_shows_what_it_would_make(recorder_client):
    of = brought(recorder_client, ROWS)
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))

    assert "2 tiles, 2 results, 1 firing" in page
    assert "3 coats Harbour brushed, on Dune; target cone 6" in page
    assert "the heading says so" in page
    assert not Tile.objects.exists()


def test_a_sheet_with_no_row_below_its_headings_is_not_offered_to_be_kept(recorder_client):
    of = brought(recorder_client, ROWS.partition("\n")[0] + "\n")
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))

    assert "No row stands below the headings in row 1" in page
    assert "Keep all of it" not in page
    assert "row out" not in page
    to(recorder_client, "keep", of)
    assert not TileForm.objects.exists()


def test_a_sheet_about_something_else_is_read_from_its_first_row(recorder_client):
    # "no" is a heading for numbers too; the last row of a sheet heads nothing.
    of = brought(recorder_client, "Buyer,Price,Paid\nA,12,yes\nB,13,no\n")
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))

    assert "The headings stand in row 1." in page
    assert "Keep all of it" not in page
    page = words(to(recorder_client, "leave", of))
    assert "Keep all of it" not in page


def test_keep_writes_all_of_it_and_the_message_undoes_it(recorder_client):
    of = brought(recorder_client, ROWS)
    answer = to(recorder_client, "keep", of)

    assert Tile.objects.count() == 2
    assert reverse("importing:undo", args=[of.pk]) in answer.content.decode()
    assert list(untrue_copies()) == []

    undone = words(to(recorder_client, "undo", of))
    assert "2 tiles, 1 firing, 1 glaze, 1 clay body, 1 tile form and 1 kiln went into the bin." in undone
    assert not Tile.objects.exists()
    assert not Firing.objects.exists()
    assert not Glaze.objects.exists()

    to(recorder_client, "back", of)
    assert Tile.objects.count() == 2
    assert Firing.objects.count() == 1
    to(recorder_client, "undo", of)
    assert not Tile.objects.exists()


def test_an_undo_leaves_and_names_what_was_changed_since(recorder_client, recorder):
    of = brought(recorder_client, ROWS)
    to(recorder_client, "keep", of)
    tile = Tile.objects.order_by("number").first()
    tile.note = "Broken in two."
    tile.save()
    answer = words(to(recorder_client, "undo", of))

    assert f"Changed or used since, so left: {tile}" in answer
    assert list(Tile.objects.all()) == [tile]
    assert Glaze.objects.filter(name="Harbour").exists()
    assert Firing.objects.exists()


def test_a_result_judged_again_keeps_its_tile(recorder_client):
    of = brought(recorder_client, ROWS)
    to(recorder_client, "keep", of)
    outcome = Outcome.objects.first()
    outcome.remark = "Seen again."
    outcome.save()
    to(recorder_client, "undo", of)

    assert list(Tile.objects.all()) == [outcome.tile]


def test_after_an_undo_the_same_file_comes_in_again(recorder_client):
    of = brought(recorder_client, ROWS)
    to(recorder_client, "keep", of)
    to(recorder_client, "undo", of)
    again = brought(recorder_client, ROWS)
    to(recorder_client, "keep", again)

    assert Tile.objects.count() == 2


def test_the_same_file_again_says_so_and_has_nothing_new(recorder_client):
    to(recorder_client, "keep", brought(recorder_client, ROWS))
    page = words(recorder_client.get(reverse("importing:sheet", args=[brought(recorder_client, ROWS).pk])))

    assert "This very file is in the logbook already" in page
    assert "There is nothing new in it." in page


def test_a_wrong_cell_is_mended_in_place_for_all_rows_that_say_it(recorder_client):
    of = brought(recorder_client, ROWS.replace("satin", "sattn").replace("matt", "sattn"))
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))
    assert "Rows 2 and 3, surface" in page
    assert "Is it “satin”?" in page

    refused = words(to(recorder_client, "keep", of))
    assert "nothing was kept" in refused
    assert not Tile.objects.exists()

    to(recorder_client, "cells", of, {"place": "7", "cell": "sattn", "words": "satinn"})
    to(recorder_client, "cells", of, {"place": "7", "cell": "satinn", "words": "satin"})
    to(recorder_client, "keep", of)
    assert set(Outcome.objects.values_list("surface", flat=True)) == {"satin"}


def test_rows_to_mend_may_be_left_out(recorder_client):
    of = brought(recorder_client, ROWS.replace("satin", "sattn"))
    to(recorder_client, "leave", of)
    to(recorder_client, "keep", of)

    assert Outcome.objects.get().surface == "matt"


def test_a_row_set_aside_is_named_on_the_page_and_may_be_taken_again(recorder_client):
    of = brought(recorder_client, "Name,Kind,Cones\nHarbour,glaze,6\nTotal,1,\n", kind="glazes")
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))
    assert "row 3, “Total”, a total" in page
    assert "Take all rows again" in page

    page = words(to(recorder_client, "leave", of, {"all": "1"}))

    assert "Set aside" not in page
    assert "Row 3, Kind" in page


def test_a_name_much_like_another_is_offered_and_may_be_made_new(recorder_client):
    harbour = GlazeFactory(name="Harbour")
    of = brought(recorder_client, ROWS.replace("Harbour", "Harbor"))
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))
    assert f'<option value="{harbour.pk}" selected>is Harbour</option>' in page

    to(recorder_client, "names", of, {"kind": "glaze", "name": "Harbor", "taken_for": "0"})
    to(recorder_client, "keep", of)
    assert set(Glaze.objects.values_list("name", flat=True)) == {"Harbour", "Harbor"}


def test_a_column_is_taken_for_what_one_says_and_the_next_file_remembers(recorder_client):
    sheet = "tile,body,glaze,coats,date,kiln,cone,odd\n1,Dune,Harbour,3,2025-01-02,Oriel,6,thick blue\n"
    of = brought(recorder_client, sheet)
    chosen = {f"column-{place}": key for place, key in enumerate([*COLUMNS, "remark"])}
    to(recorder_client, "columns", of, {**chosen, "default-form": "pin"})
    to(recorder_client, "keep", of)
    assert Outcome.objects.get().remark == "thick blue"

    after = brought(recorder_client, sheet.replace("\n1,", "\n2,"), name="next.csv")
    assert after.told["columns"]["7"] == "remark"
    assert after.told["defaults"] == {"form": "pin"}
    assert "Read as list.csv was" in words(recorder_client.get(reverse("importing:sheet", args=[after.pk])))


def test_days_that_could_be_two_ask_which_comes_first(recorder_client):
    of = brought(recorder_client, ROWS.replace("2025-01-02", "3/4/2025"))
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))
    assert "could be two days" in page

    chosen = {f"column-{place}": key for place, key in enumerate([*COLUMNS, "surface"])}
    to(recorder_client, "columns", of, {**chosen, "days": "month", "default-form": "pin"})
    to(recorder_client, "keep", of)
    assert {str(one) for one in Outcome.objects.values_list("fired_on", flat=True)} == {"2025-03-04"}


def test_messages_come_as_a_table_that_runs_nothing(recorder_client):
    of = brought(recorder_client, ROWS.replace("satin", "=1+1"))
    answer = recorder_client.get(reverse("importing:messages", args=[of.pk]))
    table = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))

    assert table[0] == ["row", "column", "cell", "what to do", "must be mended"]
    assert table[1][:3] == ["2", "surface", "'=1+1"]


def test_another_sheet_and_another_row_of_headings(recorder_client):
    book = Workbook()
    book.active.title = "Long"
    for n in range(9):
        book.active.append([n, n])
    other = book.create_sheet("Mine")
    for row in csv.reader(io.StringIO("body,glaze\n" + ROWS)):
        other.append(row)
    file = io.BytesIO()
    book.save(file)
    of = brought(recorder_client, file.getvalue(), name="two.xlsx")
    assert of.told["sheet"] == "Long"

    to(recorder_client, "headings", of, {"sheet": "Mine"})
    of.refresh_from_db()
    assert (of.told["sheet"], of.looked["header_row"]) == ("Mine", 2)
    to(recorder_client, "headings", of, {"sheet": "Mine", "row": "1"})
    of.refresh_from_db()
    assert of.looked["header_row"] == 1


def test_glazes_come_in_and_a_changed_one_is_put_back_by_the_undo(recorder_client):
    old = GlazeFactory(name="Harbour", note="As it was.")
    of = brought(recorder_client, "name,note\nHarbour,Another.\nTide,New.\n", kind="glazes")
    to(recorder_client, "keep", of)
    old.refresh_from_db()
    assert old.note == "Another."

    answer = words(to(recorder_client, "undo", of))
    old.refresh_from_db()
    assert old.note == "As it was."
    assert old.history.count() == 3
    assert not Glaze.objects.filter(name="Tide").exists()
    assert "1 glaze went into the bin. 1 stand as before." in answer


def test_a_long_sheet_is_read_kept_and_undone_by_a_worker(recorder_client, monkeypatch, settings):
    settings.TASKS = NOBODY_WORKS
    monkeypatch.setattr(services, "ROWS_AT_ONCE", 1)
    monkeypatch.setattr(services, "MANY_ROWS", 1)
    monkeypatch.setattr(undoing, "MANY_ROWS", 1)
    of = brought(recorder_client, ROWS)
    assert "You can leave this page" in words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))
    assert "is being worked on" in words(to(recorder_client, "drop", of))

    work_on.func(of.pk, CHECK, of.made_by_id)
    to(recorder_client, "keep", of)
    assert not Tile.objects.exists()
    work_on.func(of.pk, KEEP, of.made_by_id)
    assert Tile.objects.count() == 2

    to(recorder_client, "undo", of)
    work_on.func(of.pk, UNDO, of.made_by_id)
    assert not Tile.objects.exists()
    assert work_on.func(of.pk, UNDO, of.made_by_id) == "nothing to do"


def test_what_breaks_off_in_a_worker_says_so_and_can_be_tried_again(recorder_client, monkeypatch, settings):
    settings.TASKS = NOBODY_WORKS
    monkeypatch.setattr(services, "ROWS_AT_ONCE", 1)
    of = brought(recorder_client, ROWS)

    def fail(*_, **__):
        raise OSError("disk full")

    with monkeypatch.context() as broken:
        broken.setattr(services, "check", fail)
        with pytest.raises(OSError, match="disk full"):
            work_on.func(of.pk, CHECK, of.made_by_id)
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))
    assert "Nothing was changed; try it again." in page


def test_a_sheet_that_was_never_kept_is_forgotten(recorder_client):
    of = brought(recorder_client, ROWS)
    to(recorder_client, "drop", of)
    assert not SpreadsheetImport.objects.exists()

    kept = brought(recorder_client, ROWS)
    to(recorder_client, "keep", kept)
    assert "is in the logbook already" in words(to(recorder_client, "drop", kept))
    assert SpreadsheetImport.objects.exists()


def test_a_viewer_sees_no_spreadsheets(viewer_client, recorder_client):
    of = brought(recorder_client, ROWS)
    assert viewer_client.get(reverse("importing:list")).status_code == 403
    assert viewer_client.post(reverse("importing:keep", args=[of.pk])).status_code == 403


def test_the_untidy_example_comes_in_once_two_cells_are_mended(recorder_client):
    for name in ("Dune", "Cellar", "Loft"):
        ClayBodyFactory(name=name)
    for name in ("Harbour", "Flux L", "Moss Ledger"):
        GlazeFactory(name=name)
    example = recorder_client.get(reverse("importing:example", args=[EXAMPLE.name]))
    assert b"".join(example.streaming_content) == EXAMPLE.read_bytes()
    of = brought(recorder_client, EXAMPLE.read_bytes(), name=EXAMPLE.name)
    mended = {"place": ["11", "2"], "cell": ["glosy", "Night Tide"], "words": ["glossy", "Night Tide x2"]}
    to(recorder_client, "cells", of, mended)
    to(recorder_client, "keep", of)

    assert Tile.objects.count() == 6
    assert ClayBody.objects.count() == 3
    assert Glaze.objects.count() == 4
    first = Outcome.objects.get(tile__note__startswith="Old number T1.", zone__position=1)
    assert (first.coats_total, first.coats_top, str(first.run_mm)) == (5, 3, "3.2")
    assert "Hottest 1222 °C" in first.firing.note
    reduced = Outcome.objects.filter(atmosphere="reduction")
    assert reduced.count() == 2
    assert list(untrue_copies()) == []


@pytest.mark.parametrize("kind", ["glazes", "bodies"])
def test_the_headings_of_a_list_to_begin_come_back_as_the_columns_they_name(recorder_client, kind):
    answer = recorder_client.get(reverse("importing:example", args=[f"{kind}.csv"]))
    headings = next(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    rows = [headings, ["Tide", *[""] * (len(headings) - 1)]]
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    of = brought(recorder_client, out.getvalue(), kind=kind)

    assert len(headings) == len(set(of.told["columns"].values()) - {""})
    noun = {"glazes": "glaze", "bodies": "clay body"}[kind]
    assert f"1 new {noun}" in words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))


def test_pages_ask_the_same_whatever_the_number_of_rows(recorder_client, django_assert_max_num_queries):
    long = ROWS + "".join(f"{n},Dune,Harbour,3,2025-01-02,Oriel,6,satin\n" for n in range(3, 300))
    of = brought(recorder_client, long)
    with django_assert_max_num_queries(16):
        recorder_client.get(reverse("importing:sheet", args=[of.pk]))


@pytest.mark.parametrize(
    "nasty", ["\0", "²", "-1", "9" * 30, "<script>", "=1+1", "a" * 5000, "\u202e", "0x1", " "]
)
def test_whatever_is_sent_is_taken_or_refused_in_words(recorder_client, nasty):
    of = brought(recorder_client, ROWS.replace("satin", nasty.replace("\0", "x")), name=f"{nasty[:50]}.csv")
    sent = {
        "columns": {
            "column-7": nasty,
            "above-0": nasty,
            "default-date": nasty,
            "default-hold": nasty,
            "days": nasty,
        },
        "headings": {"sheet": nasty, "row": nasty},
        "names": {"kind": "glaze", "name": nasty, "taken_for": nasty},
        "cells": {"place": nasty, "cell": nasty, "words": nasty},
        "leave": {"all": nasty},
    }
    for name, data in sent.items():
        assert to(recorder_client, name, of, data).status_code == 200
    assert to(recorder_client, "cells", of, {"place": "7", "cell": "matt", "words": nasty}).status_code == 200
    page = to(recorder_client, "keep", of)
    assert page.status_code == 200
    assert b"<script>.csv" not in page.content


def test_two_new_names_of_one_sheet_that_are_much_alike_are_pointed_out_on_its_page(recorder_client):
    of = brought(recorder_client, ROWS.replace("Harbour,2", "Harbor,2"))
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))
    said = "“Harbor” would be a new glaze beside “Harbour”, which is new too"
    assert said in page

    once_alike = brought(recorder_client, ROWS)
    assert said not in words(recorder_client.get(reverse("importing:sheet", args=[once_alike.pk])))


@pytest.mark.parametrize(
    ("name", "taken"), [("Harbur", True), ("Harbour Blue", False), ("Harbour 2", False), ("Harbours", True)]
)
def test_only_a_slip_of_the_pen_is_taken_for_a_glaze_that_is_here(recorder_client, name, taken):
    """A longer name, or another number, is another glaze: its results under the wrong name would be lost."""
    GlazeFactory(name="Harbour")
    of = brought(recorder_client, ROWS.replace("Harbour", name))
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))

    assert (f"“{name}” is taken for the glaze “Harbour”." in page) is taken
    to(recorder_client, "keep", of)
    assert Glaze.objects.filter(name=name).exists() is not taken
    assert Outcome.objects.filter(top_glaze__name="Harbour" if taken else name).count() == 2


def paste(client, rows, kind="glazes"):
    return client.post(reverse("importing:list"), {"kind": kind, "pasted": rows})


def pasted(client, rows, kind="glazes"):
    answer = paste(client, rows, kind)
    assert answer.status_code == 302, words(answer)
    return SpreadsheetImport.objects.latest("pk")


@pytest.mark.parametrize(("kind", "model"), [("glazes", Glaze), ("bodies", ClayBody)])
def test_names_typed_one_a_line_are_kept_together_and_undone_by_the_message(recorder_client, kind, model):
    of = pasted(recorder_client, "Dune\r\n\r\nIron red, thin\r\nSlate\r\n", kind)
    answer = to(recorder_client, "keep", of)

    assert sorted(model.objects.values_list("name", flat=True)) == ["Dune", "Iron red, thin", "Slate"]
    assert reverse("importing:undo", args=[of.pk]) in answer.content.decode()
    assert (
        f"List of {of.get_holds_display()} is in the logbook: 3 new {model._meta.verbose_name_plural}."
        in words(answer)
    )
    undone = words(to(recorder_client, "undo", of))
    assert f"3 {model._meta.verbose_name_plural} went into the bin." in undone
    assert not model.objects.exists()
    to(recorder_client, "back", of)
    assert model.objects.count() == 3


def test_cells_copied_from_a_spreadsheet_are_read_with_their_headings_or_without(recorder_client):
    to(recorder_client, "keep", pasted(recorder_client, "Glaze\tSurface\nHarbour\tglossy\n"))
    without = pasted(recorder_client, "Moss\tsatin\nTide\tmatt\n")
    page = words(recorder_client.get(reverse("importing:sheet", args=[without.pk])))

    assert Glaze.objects.get(name="Harbour").surface == "glossy"
    assert "1 of 2 columns are read" in page
    to(recorder_client, "columns", without, {"column-0": "name", "column-1": "surface"})
    to(recorder_client, "keep", without)
    assert Glaze.objects.get(name="Moss").surface == "satin"
    assert Glaze.objects.get(name="Tide").surface == "matt"


def test_results_are_pasted_as_well(recorder_client):
    to(recorder_client, "keep", pasted(recorder_client, ROWS.replace(",", "\t"), "results"))

    assert Tile.objects.count() == 2


def test_without_a_file_and_without_rows_it_says_what_to_do(recorder_client):
    answer = paste(recorder_client, " \r\n ")

    assert answer.status_code == 422
    assert "Choose the spreadsheet first, or write its rows below." in words(answer)


def test_a_file_and_rows_at_once_are_asked_for_one_after_the_other_and_the_rows_stay(recorder_client):
    both = {"kind": "glazes", "pasted": "Harbour", "file": SimpleUploadedFile("list.csv", b"name\nTide\n")}
    answer = recorder_client.post(reverse("importing:list"), both)

    assert answer.status_code == 422
    assert "one after the other" in words(answer)
    assert "Harbour</textarea>" in words(answer)


def test_the_catalogue_leads_to_several_at_once(recorder_client):
    assert "/import/?rows=bodies" in recorder_client.get("/catalogue/").content.decode()
    page = words(recorder_client.get("/import/?rows=bodies"))

    assert "checked" in page.partition('value="bodies"')[2][:60]


def say_of(client, of, kind, name, meant):
    to(client, "names", of, {"kind": kind, "name": name, "taken_for": meant})
    return words(client.get(reverse("importing:sheet", args=[of.pk])))


def test_two_new_names_of_a_list_are_joined_on_its_page_and_parted_again(recorder_client):
    of = brought(
        recorder_client, "name,surface\nHarbour Blue,satin\nMoss,matt\nHarbor Blue,glossy\n", kind="glazes"
    )
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))
    assert "the same as Harbour Blue" in page
    assert "<strong>Moss</strong>" not in page

    page = say_of(recorder_client, of, "glaze", "Harbor Blue", "=Harbour Blue")
    assert "“Harbor Blue” is “Harbour Blue” of row 2, so this row is left out." in page
    assert '<option value="=Harbour Blue" selected>' in page
    assert "would be a new glaze beside" not in page
    assert "In the logbook already" not in page

    assert "would be a new glaze beside" in say_of(recorder_client, of, "glaze", "Harbor Blue", "0")
    say_of(recorder_client, of, "glaze", "Harbor Blue", "=Harbour Blue")
    to(recorder_client, "keep", of)
    assert set(Glaze.objects.values_list("name", "surface")) == {("Harbour Blue", "satin"), ("Moss", "matt")}


def test_a_new_name_of_a_list_is_taken_for_a_record_much_like_it(recorder_client):
    tenmoku, harbour = GlazeFactory(name="Tenmoku", surface="glossy"), GlazeFactory(name="Harbour")
    of = brought(recorder_client, "name,surface\nTenmuku,satin\n", kind="glazes")
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))
    assert f'<option value="{tenmoku.pk}" >is Tenmoku' in page
    assert f'<option value="{harbour.pk}"' not in page

    say_of(recorder_client, of, "glaze", "Tenmuku", str(tenmoku.pk))
    to(recorder_client, "keep", of)
    tenmoku.refresh_from_db()
    assert (tenmoku.name, tenmoku.surface) == ("Tenmoku", "satin")
    assert Glaze.objects.count() == 2
    to(recorder_client, "undo", of)
    tenmoku.refresh_from_db()
    assert tenmoku.surface == "glossy"


def test_two_new_names_among_results_are_joined_and_make_one_glaze(recorder_client):
    of = brought(recorder_client, ROWS.replace("2,Dune,Harbour", "2,Dune,Harbor"))
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))
    assert "the same as Harbour<" in page

    page = say_of(recorder_client, of, "glaze", "Harbor", "=Harbour")
    assert '<option value="=Harbour" selected>' in page
    to(recorder_client, "keep", of)
    glaze = Glaze.objects.get()
    assert glaze.name == "Harbour"
    assert Outcome.objects.count() == 2
    assert list(untrue_copies()) == []


def test_names_joined_in_a_circle_are_made_new(recorder_client):
    of = brought(recorder_client, "name\nHarbour Blue\nHarbor Blue\n", kind="glazes")
    say_of(recorder_client, of, "glaze", "Harbor Blue", "=Harbour Blue")
    say_of(recorder_client, of, "glaze", "Harbour Blue", "=Harbor Blue")
    to(recorder_client, "keep", of)

    assert Glaze.objects.count() == 2


SLIPS = """tile,body,glaze,coats,date,kiln,cone
1,Dune,Harbor,3,2025-01-02,Oriel,6
2,Slate,Nite Iron,2,2025-01-02,Oriel,6
3,Slate,Moss 2,2,2025-01-02,Oriel,6
"""


def test_new_glazes_and_bodies_among_results_are_named_before_they_are_made_with_what_they_may_be(
    recorder_client,
):
    for name in ("Harbour", "Night Iron", "Moss 1"):
        GlazeFactory(name=name)
    ClayBodyFactory(name="Dune stoneware")
    of = brought(recorder_client, SLIPS)
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))

    assert "<dt>New glazes</dt> <dd> Nite Iron, Moss 2 </dd>" in page
    assert "<dt>New clay bodies</dt> <dd> Dune, Slate </dd>" in page
    assert "“Harbor” is taken for the glaze “Harbour”." in page
    assert "“Nite Iron” would be a new glaze beside “Night Iron”, which is here." in page
    assert "“Dune” would be a new clay body beside “Dune stoneware”, which is here." in page
    assert "perhaps Night Iron, which is here" in page
    # Names of one family are told apart by their numbers on purpose.
    assert "“Moss 2” would be" not in page
    assert set(Glaze.objects.values_list("name", flat=True)) == {"Harbour", "Night Iron", "Moss 1"}

    page = say_of(recorder_client, of, "glaze", "Nite Iron", "0")
    assert "“Nite Iron” would be" not in page


def test_new_glazes_of_a_list_are_named_before_they_are_made(recorder_client):
    names = [f"Glaze {place}" for place in range(1, 24)]
    of = brought(recorder_client, "name\n" + "\n".join(names), kind="glazes")
    page = words(recorder_client.get(reverse("importing:sheet", args=[of.pk])))

    assert (
        "Glaze 19, Glaze 20 <details> <summary>3 more</summary> Glaze 21, Glaze 22, Glaze 23 </details>"
        in page
    )
