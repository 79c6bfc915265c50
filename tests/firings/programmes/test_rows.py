"""The rows of the editor: read as segments, refused with what to do, moved, in the other unit."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.programmes.arranging import arranged
from firings.programmes.rows import MOST_ROWS, Row, in_unit, read_rows, rows_of
from firings.programmes.segments import Segment, Unit

C, F = Unit.CELSIUS, Unit.FAHRENHEIT
TWO = [Row("1", "60", "1000"), Row("2", "60", "1222", "10")]


def keys(rows):
    return [row.key for row in rows]


def test_a_decimal_comma_a_space_in_thousands_and_hours_are_read():
    segments, troubles = read_rows([Row("1", "55,5", "1 222.5", "1h30")], C)

    assert segments == [Segment(55.5, 1222.5, 90.0)]
    assert troubles == []


def test_fahrenheit_is_read_to_the_tenth_of_a_celsius():
    # Conversion by definition: (F - 32) / 1.8 and per hour / 1.8
    assert read_rows([Row("1", "108", "2232")], F)[0] == [Segment(60.0, 1222.2)]


def test_blank_rows_are_left_out():
    assert len(read_rows([Row("1"), *TWO, Row("3")], C)[0]) == 2


@pytest.mark.parametrize(
    ("row", "box", "words"),
    [
        (Row("1", "60", ""), "target", "which temperature"),
        (Row("1", "", "900"), "rate", "degrees an hour"),
        (Row("1", "0", "900"), "rate", "0.1 to 5000"),
        (Row("1", "-60", "900"), "rate", "does not lead up"),
        (Row("1", "quick", "900"), "rate", "not a figure"),
        (Row("1", "60", "hot"), "target", "not a figure"),
        (Row("1", "60", "1900"), "target", "1800 is the most"),
        (Row("1", "60", "-5"), "target", "no temperature"),
        (Row("1", "60", "20"), "target", "there already"),
        (Row("1", "60", "900", "a while"), "hold", "write minutes"),
        (Row("1", "60", "900", "10,5"), "hold", "whole minutes"),
        (Row("1", "60", "900", "9000"), "hold", "longer than"),
        (Row("1", hold="10"), "target", "which temperature"),
    ],
)
def test_a_row_that_is_no_segment_is_refused_at_its_box(row, box, words):
    segments, troubles = read_rows([row], C)

    assert segments == []
    assert [(trouble.key, trouble.box) for trouble in troubles] == [("1", box)]
    assert words in troubles[0].words


def test_a_falling_rate_may_be_written_with_its_minus():
    segments, _ = read_rows([Row("1", "60", "1000"), Row("2", "-100", "800")], C)

    assert segments[1] == Segment(100.0, 800.0)


rates = st.one_of(st.none(), st.integers(1, 50_000).map(lambda tenths: tenths / 10))
targets = st.integers(0, 18_000).map(lambda tenths: tenths / 10)
segments = st.builds(Segment, rates, targets, st.integers(0, 6000).map(float))


def leads_somewhere(programme):
    temps = [20.0, *(one.target_c for one in programme)]
    return all(before != after for before, after in itertools.pairwise(temps))


@given(st.lists(segments, min_size=1, max_size=6).filter(leads_somewhere), st.sampled_from(Unit))
def test_what_is_kept_reads_the_same_in_both_units(programme, unit):
    assert read_rows(rows_of(programme, unit), unit) == (programme, [])


@given(st.lists(segments, min_size=1, max_size=4))
def test_the_other_unit_and_back_changes_nothing_kept(programme):
    rows = rows_of(programme, C)

    assert in_unit(in_unit(rows, C, F), F, C) == rows


@given(st.text(max_size=12), st.text(max_size=12), st.text(max_size=12))
def test_whatever_is_typed_is_a_segment_or_is_told_what_to_do(rate, target, hold):
    segments, troubles = read_rows([Row("1", rate, target, hold)], C)

    assert len(segments) + len(troubles) <= 1
    assert all(trouble.words for trouble in troubles)


def test_segments_are_added_moved_and_taken_out():
    assert keys(arranged("add", "", TWO, C).rows) == ["1", "2", "3"]
    assert keys(arranged("up 2", "", TWO, C).rows) == ["2", "1"]
    assert keys(arranged("down 2", "", TWO, C).rows) == ["1", "2"]
    assert keys(arranged("remove 1", "", TWO, C).rows) == ["2"]


def test_the_last_row_taken_out_leaves_one_to_type_in():
    left = arranged("remove 1", "", [Row("1", "60", "900")], C).rows

    assert len(left) == 1
    assert left[0].is_blank


def test_the_hand_goes_on_where_the_work_is():
    assert arranged("add", "", TWO, C).focus == "rate-3"
    assert arranged("remove 1", "", TWO, C).focus == "target-2"
    assert arranged("up 2", "", TWO, C).focus == "down-2"  # at the top already: only back from here


def test_there_is_a_most_of_segments():
    many = [Row(str(key), "60", "900") for key in range(1, MOST_ROWS + 1)]

    assert len(arranged("add", "", many, C).rows) == MOST_ROWS


def test_a_line_fills_the_rows_and_one_that_does_not_read_leaves_them():
    filled = arranged("line", "60:1000, 60:1222 hold 10", [Row("1")], C)
    left = arranged("line", "60:1000, sixty:1222", TWO, C)

    assert read_rows(filled.rows, C)[0] == [Segment(60.0, 1000.0), Segment(60.0, 1222.0, 10.0)]
    assert left.rows == TWO
    assert "Segment 2" in left.trouble


@given(st.text(max_size=30))
def test_a_button_nobody_made_breaks_nothing(do):
    assert arranged(do, "", TWO, C).rows
