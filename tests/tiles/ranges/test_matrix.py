"""Results laid out in rows and columns: each once, at its place, the best evidenced in front."""

from collections import Counter
from datetime import date
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.cones import series
from tiles.columns.values import Heat, Lookups, Run, Seen, Stack, Ware
from tiles.ranges.address import read, write
from tiles.ranges.axes import NOTHING, Axis, Fired, known, laid, levels_on
from tiles.ranges.matrix import MOST_LEVELS, Asked, crossed_besides, laid_out, levels_seen, ordered, usual

GLAZE, FLUX, OTHER = 12, 7, 9
CONE_6, CONE_7, CONE_10 = (series.order_of(name) for name in ("6", "7", "10"))
TODAY = date(2026, 10, 14).toordinal()


def a_result(
    key=1,
    *,
    body=1,
    cone: int | None = CONE_6,
    stack=f"{GLAZE}:brush:3",
    judged=True,
    pictured=True,
    day=TODAY,
    atmosphere="oxidation",
    number=0,
    firing=1,
    off=False,
    form=1,
    verdict="",
):
    return Fired(
        key,
        day,
        number or key,
        Heat(firing, 1, cone, cone, None, atmosphere, 0, day),
        Stack(GLAZE, 1, 3, 3, "brush", stack, ((GLAZE, 0, 1),)),
        Seen("glossy", "", verdict, judged, ()),
        Run(None, off),
        Ware(body, form, False, None, pictured, 1),
    )


def matrix_of(found, rows=Axis.BODY, columns=Axis.CONE, held=None, wanted=None):
    return laid_out(found, GLAZE, Asked(rows, columns, held or {}), wanted or {}, Lookups())


def test_a_glaze_lies_over_what_is_below_it_and_under_what_is_above():
    how = laid(f"{FLUX}:brush:1|{GLAZE}:brush:3|{OTHER}:dip:2.5s", GLAZE)

    assert how is not None
    assert (how.amount, how.below, how.above) == ("3", (FLUX,), (OTHER,))
    assert laid("", GLAZE) is None


def test_coats_stand_in_their_order_and_dips_after_them():
    words = [level.words for level in known(Axis.COATS, ["2.5s", "10", "2", "1"], Lookups())]

    assert words == ["1 coat", "2 coats", "10 coats", "dip 2.5 s"]


def test_cones_stand_in_the_order_of_the_series_not_of_their_names():
    found = [a_result(1, cone=CONE_10), a_result(2, cone=CONE_6)]

    assert [level.words for level in matrix_of(found).columns] == ["cone 6", "cone 10"]


def test_a_cone_the_glaze_is_meant_for_stands_there_empty():
    matrix = matrix_of([a_result()], wanted={Axis.CONE: [str(CONE_7)]})

    assert [cell.n for cell in matrix.cells[0]] == [1, 0]
    assert matrix.empty_count == 1


def test_a_result_that_was_judged_and_photographed_stands_before_newer_ones():
    found = [
        a_result(1),
        a_result(2, day=TODAY + 5, pictured=False),
        a_result(3, day=TODAY + 9, judged=False, pictured=False),
    ]

    assert ordered(found) == (1, 2, 3)


def test_what_was_repeated_stands_before_what_came_out_once():
    thin = f"{GLAZE}:brush:1"
    found = [a_result(1), a_result(2, day=TODAY - 30), a_result(3, stack=thin, day=TODAY + 3)]

    assert ordered(found)[0] == 1


def test_of_one_day_what_the_tester_would_keep_stands_first_and_a_newer_day_before_it():
    found = [a_result(1, verdict="keep"), a_result(2, verdict="reject"), a_result(3)]

    assert ordered(found) == (1, 3, 2)
    assert ordered([*found, a_result(4, day=TODAY + 1, verdict="reject")])[0] == 4


@given(st.lists(st.tuples(st.sampled_from("abc"), st.sampled_from("123"))))
def test_a_crossing_without_what_it_adds_is_what_was_ticked(ticked):
    crossed = set(product({row for row, _ in ticked}, {column for _, column in ticked}))

    assert crossed - set(crossed_besides(ticked)) == set(ticked)
    assert not set(crossed_besides(ticked)) & set(ticked)


def test_usually_cones_stand_across_and_bodies_down_without_other_glazes():
    found = [a_result(1), a_result(2, body=2), a_result(3, stack=f"{FLUX}:brush:1|{GLAZE}:brush:2")]
    asked = usual(levels_seen(found, GLAZE))

    assert (asked.rows, asked.columns) == (Axis.BODY, Axis.CONE)
    assert asked.held == {Axis.OVER: NOTHING, Axis.UNDER: NOTHING}
    assert matrix_of(found, held=asked.held).results == 2


def test_with_one_body_coats_stand_down():
    assert usual(levels_seen([a_result(1), a_result(2, stack=f"{GLAZE}:brush:1")], GLAZE)).rows is Axis.COATS


def test_rows_without_room_are_named_and_have_the_fewest_results():
    found = [a_result(key, body=body) for body in range(1, MOST_LEVELS + 3) for key in range(body, 20)]
    matrix = matrix_of(found)

    assert len(matrix.rows) == MOST_LEVELS
    assert {level.value for level in matrix.left_out} == {str(MOST_LEVELS + 1), str(MOST_LEVELS + 2)}


@pytest.mark.parametrize(
    "said",
    [{}, {"rows": "cone"}, {"rows": "nonsense", "columns": "x'--"}, {"rows": "body", "columns": "body"}],
)
def test_rows_and_columns_are_never_the_same(said):
    asked = read(said, usual(levels_seen([a_result()], GLAZE)))

    assert asked.rows is not asked.columns


AXES = st.sampled_from(list(Axis))
STACKS = st.sampled_from(
    [
        f"{GLAZE}:brush:1",
        f"{GLAZE}:brush:3",
        f"{GLAZE}:dip:2.5s",
        f"{FLUX}:brush:1|{GLAZE}:brush:2",
        f"{GLAZE}:brush:2|{OTHER}:spray:1",
        f"{FLUX}:brush:1|{OTHER}:brush:1|{GLAZE}:brush:2",
    ]
)
RESULTS = st.lists(
    st.builds(
        a_result,
        body=st.integers(1, 4),
        cone=st.one_of(st.none(), st.integers(CONE_6, CONE_7 + 2)),
        stack=STACKS,
        judged=st.booleans(),
        pictured=st.booleans(),
        day=st.integers(TODAY - 9, TODAY),
        atmosphere=st.sampled_from(["oxidation", "reduction"]),
    ),
    max_size=30,
)


def numbered(found):
    return [
        Fired(
            key, *(getattr(one, name) for name in ("day", "number", "heat", "stack", "seen", "run", "ware"))
        )
        for key, one in enumerate(found, 1)
    ]


def level_on(axis, one):
    return levels_on(axis, [one], GLAZE)[0]


@given(
    RESULTS,
    AXES,
    AXES,
    st.dictionaries(AXES, st.sampled_from(["1", str(CONE_6), NOTHING, str(FLUX), "oxidation"]), max_size=2),
)
def test_each_result_that_fits_stands_in_its_one_cell(found, rows, columns, held):
    if rows is columns:
        return
    found, held = (
        numbered(found),
        {axis: level for axis, level in held.items() if axis not in (rows, columns)},
    )
    matrix = matrix_of(found, rows, columns, held)
    expected: Counter[tuple[str, str]] = Counter()
    for one in found:
        places = level_on(rows, one), level_on(columns, one)
        fits = all(level_on(axis, one) == level for axis, level in held.items())
        if fits and None not in places:
            expected[places] += 1

    assert {
        (cell.row.value, cell.column.value): cell.n for row in matrix.cells for cell in row if cell.n
    } == expected
    keys = [key for row in matrix.cells for cell in row for key in cell.keys]
    assert len(keys) == len(set(keys)) == matrix.results


@given(RESULTS, AXES, AXES, st.dictionaries(AXES, st.sampled_from(["1", "2.5s", NOTHING, "7+9"]), max_size=3))
def test_an_address_reads_back_as_the_sheet_it_was_written_from(found, rows, columns, held):
    if rows is columns:
        return
    asked = Asked(rows, columns, {axis: level for axis, level in held.items() if axis not in (rows, columns)})
    said = dict(pair.split("=") for pair in write(asked).replace("%2B", "+").split("&"))

    assert read(said, usual(levels_seen(found, GLAZE))) == asked
