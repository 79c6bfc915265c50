"""Spreadsheets are read as typed, of several sheets the log; what cannot be read is refused in a sentence."""

import io
import json
import zipfile
from dataclasses import replace

import numpy as np
import pytest
from django.core.management import CommandError, call_command
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from firings.curves import workbook
from firings.curves.choices import (
    choice_from,
    column_names,
    confirmed,
    first_lines,
    plain_choice,
    sheet_names,
)
from firings.curves.reading import Choice, Reading, read
from firings.curves.text import UnreadableCurve
from firings.curves.together import one_curve
from tests.firings.curves import shapes
from tests.firings.curves.books import BOOKS, one_sheet, saved

PLAIN = one_sheet([["min", "Kiln °C"], *([s / 60, t] for s, t in shapes.rows())])


def with_parts(data: bytes, parts: dict[str, bytes]) -> bytes:
    """A spreadsheet with parts added or put in place of its own."""
    file = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as source,
        zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as target,
    ):
        for name in source.namelist():
            if name not in parts:
                target.writestr(name, source.read(name))
        for name, content in parts.items():
            target.writestr(name, content)
    return file.getvalue()


def part_of(data: bytes, name: str) -> bytes:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return archive.read(name)


SHEET = "xl/worksheets/sheet1.xml"


@pytest.mark.parametrize("name", sorted(BOOKS))
def test_every_shape_is_read_as_the_firing(name):
    written = BOOKS[name]()
    reading = read(written.data)
    curve = one_curve(reading.times_s, reading.by_name())

    assert len(reading.sensors) == written.sensors
    assert reading.read_as.unit == written.unit
    assert reading.started_at == written.starts
    assert np.median(np.diff(reading.times_s)) == pytest.approx(written.step_s, abs=0.01)
    assert np.abs(curve.temps_c - shapes.temps_at(curve.times_s)).max() <= written.loss_c
    assert not written.said or any(written.said in words for words in reading.warnings)


def test_a_person_chooses_another_sheet():
    data = BOOKS["a_short_log_before_the_long_one"]().data
    reading = read(data, Choice(sheet="Test of the probe"))

    assert reading.read_as.rows == 60
    assert reading.read_as.sheet == "Test of the probe"
    assert reading.read_as.sheets == ["Test of the probe", "Firing"]
    assert not any("was taken" in words for words in reading.warnings)
    with pytest.raises(UnreadableCurve, match="There is no sheet Log; choose Test of the probe, Firing"):
        read(data, Choice(sheet="Log"))


def test_a_confirmed_sheet_is_told_from_then_on():
    data = BOOKS["a_short_log_before_the_long_one"]().data
    told = confirmed(read(data), Choice())

    assert told.sheet == "Firing"
    assert choice_from(json.loads(json.dumps(plain_choice(told)))) == told
    assert confirmed(read(PLAIN), Choice()).sheet is None


def test_a_hidden_sheet_is_taken_only_when_chosen():
    book = Workbook()
    book.active.title = "Seen"
    hidden = book.create_sheet("Hidden")
    hidden.sheet_state = "hidden"
    for sheet, rate in ((book.active, 2), (hidden, 3)):
        sheet.append(["min", "Kiln °C"])
        for minute in range(300 * rate // 2):
            sheet.append([minute, 20 + rate * minute])

    assert read(saved(book)).read_as.sheet == "Seen"
    assert read(saved(book), Choice(sheet="Hidden")).sensors[0].temps_c[1] == 23


def test_the_form_sees_sheets_columns_and_first_lines():
    data = BOOKS["several_sheets_of_which_one_is_the_log"]().data

    assert sheet_names(data) == ["Notes", "Log 2 March"]
    assert column_names(data, Choice()) == ["s", "Kiln °C"]
    assert first_lines(data, "Notes") == ["Half full, damp day\t3"]
    assert sheet_names(b"s,t\n0,20") == []


def test_a_formula_is_never_worked_out():
    book = Workbook()
    book.active.append(["min", "Kiln °C", "Twice"])
    for n, (s, t) in enumerate(shapes.rows(), start=2):
        book.active.append([s / 60, t, f"=B{n}*2"])
    reading = read(saved(book))

    assert [one.name for one in reading.sensors] == ["Kiln °C"]
    assert any("formulas on the sheet Sheet came without a result" in words for words in reading.warnings)


def test_what_a_formula_came_to_is_read():
    cells = part_of(PLAIN, SHEET).replace(b"<v>1222</v>", b"<f>600+622</f><v>1222</v>")
    reading = read(with_parts(PLAIN, {SHEET: cells}))

    assert b"<f>" in cells
    assert reading.sensors[0].temps_c.max() == 1222
    assert reading.warnings == ()


def test_a_log_of_formulas_alone_says_how_to_mend_it():
    book = Workbook()
    book.active.append(["min", "Kiln °C"])
    for n in range(2, 300):
        book.active.append([n, f"=A{n}*5"])

    with pytest.raises(UnreadableCurve, match="save it there and send it again"):
        read(saved(book))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (with_parts(PLAIN, {"xl/vbaProject.bin": b"x"}), "macros"),
        (with_parts(PLAIN, {"xl/workbook.bin": b"x"}), "binary spreadsheet"),
        (
            with_parts(
                PLAIN, {"mimetype": b"application/vnd.oasis.opendocument.spreadsheet", "content.xml": b"<x/>"}
            ),
            "OpenDocument",
        ),
        (b"\xd0\xcf\x11\xe0" + bytes(600) + "EncryptedPackage".encode("utf-16-le"), "password"),
        (b"\xd0\xcf\x11\xe0" + bytes(600), r"old spreadsheet \(\.xls\)"),
        (with_parts(PLAIN, {"word/document.xml": b"<x/>"}), "document, not a spreadsheet"),
        (PLAIN[: len(PLAIN) // 2], "damaged"),
        (with_parts(PLAIN, {SHEET: b"<worksheet>"}), "damaged"),
        (one_sheet([]), "empty"),
        (one_sheet([["Dear", "diary", 3]]), "No column looks like"),
    ],
    ids=["macros", "xlsb", "ods", "password", "xls", "document", "torn", "half", "empty", "letter"],
)
def test_what_holds_no_log_is_refused_with_what_to_do(data, words):
    with pytest.raises(UnreadableCurve, match=words) as refusal:
        read(data)
    assert "\n" not in str(refusal.value)


def test_an_entity_is_refused():
    cells = b'<!DOCTYPE x [<!ENTITY a "aaaa">]>' + part_of(PLAIN, SHEET)

    with pytest.raises(UnreadableCurve, match="damaged"):
        read(with_parts(PLAIN, {SHEET: cells}))


def test_no_sheet_that_reads_names_each_with_its_reason():
    book = Workbook()
    book.active.append(["Dear", "diary", 3])
    cold = book.create_sheet("Cold")
    for minute in range(100):
        cold.append([minute, 20])

    with pytest.raises(UnreadableCurve, match=r"No sheet reads as a curve\. Sheet: No .* Cold: No column"):
        read(saved(book))


@pytest.mark.parametrize(
    "cells",
    [
        b'<row r="1"><c r="XFD1"><v>1</v></c></row>' * 200,
        b"<a/>" * 200_000,
        b'<row><c r="ZZZ1"><v>1</v></c></row>',
    ],
    ids=["wide rows", "marks that are no cells", "a column beyond the last"],
)
def test_a_sheet_that_would_fill_the_memory_is_refused(monkeypatch, cells):
    monkeypatch.setattr(workbook, "MOST_CELLS", 20_000)
    whole = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>%s</sheetData></worksheet>'

    with pytest.raises(UnreadableCurve, match="too large"):
        read(with_parts(PLAIN, {SHEET: whole % cells}))


def test_a_part_that_unpacks_to_too_much_is_refused_before_it_is_unpacked():
    huge = with_parts(PLAIN, {"xl/styles.xml": b" " * (workbook.LARGEST_PART_BYTES + 1)})

    assert len(huge) < 200_000
    with pytest.raises(UnreadableCurve, match="Save the sheet as CSV"):
        read(huge)


def test_rows_far_apart_cost_nothing():
    last = part_of(PLAIN, SHEET).replace(b"</sheetData>", b'<row r="1048576"></row></sheetData>')

    assert read(with_parts(PLAIN, {SHEET: last})).read_as.rows == len(list(shapes.rows()))


few = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))


def read_or_refused(data: bytes) -> Reading | None:
    try:
        return read(data)
    except UnreadableCurve as refusal:
        words = str(refusal)
    assert words.strip()
    assert "\n" not in words
    return None


def in_words_or_true(data: bytes) -> None:
    reading = read_or_refused(data)
    if reading is None:
        return
    # Every part of the archive has its own checksum, so what is read is what was written.
    temps_c = reading.sensors[0].temps_c
    assert reading.warnings or temps_c == pytest.approx(shapes.temps_at(reading.times_s), abs=0.1)


@few
@given(st.lists(st.tuples(st.floats(0, 1), st.integers(1, 255)), min_size=1, max_size=12))
def test_flipped_bytes_are_found_out(hits):
    data = bytearray(PLAIN)
    for share, flip in hits:
        data[int(share * (len(data) - 1))] ^= flip

    in_words_or_true(bytes(data))


@few
@given(st.floats(0, 1), st.floats(0, 1))
def test_a_torn_file_is_found_out(start, stop):
    first, last = sorted((int(start * len(PLAIN)), int(stop * len(PLAIN))))

    in_words_or_true(PLAIN[:first] + PLAIN[last:])


@few
@given(
    st.sampled_from([SHEET, "xl/workbook.xml", "xl/styles.xml", "[Content_Types].xml"]),
    st.floats(0, 1),
    st.binary(max_size=40),
)
def test_a_part_overwritten_inside_is_read_or_refused(name, share, junk):
    part = part_of(PLAIN, name)
    at = int(share * len(part))
    read_or_refused(with_parts(PLAIN, {name: part[:at] + junk + part[at + len(junk) :]}))


def test_the_command_reads_a_spreadsheet(tmp_path):
    path = tmp_path / "log.xlsx"
    path.write_bytes(BOOKS["a_short_log_before_the_long_one"]().data)
    out, other = io.StringIO(), io.StringIO()
    call_command("heatwork", str(path), "--json", stdout=out)
    call_command("heatwork", str(path), "--json", "--sheet", "Test of the probe", stdout=other)

    assert json.loads(out.getvalue())["cone"] == "6"
    assert json.loads(out.getvalue())["read_as"]["sheet"] == "Firing"
    assert json.loads(other.getvalue())["cone"] is None
    with pytest.raises(CommandError, match="There is no sheet"):
        call_command("heatwork", str(path), "--json", "--sheet", "Nothing")


def test_a_choice_knows_its_sheet():
    assert plain_choice(replace(Choice(), sheet="Log")) == {"sheet": "Log"}
