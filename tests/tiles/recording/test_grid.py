"""What a person may type in the coat grid, and what it means."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.recording import grid
from tiles.recording.grid import Amount, OnHand, TypedCell, TypedLayer, read_amount, read_grid
from tiles.vocabulary import Method

ZONES = ("band 1", "band 2")
HARBOUR, FLUX = 7, 8
ON_HAND = OnHand({HARBOUR: "Harbour", FLUX: "Flux L"}, {31: (HARBOUR, "24-118"), 32: (FLUX, "F-3")})
BY_COATS = st.sampled_from([method for method in Method.values() if method != Method.DIP])


def row(key="n1", glaze=str(HARBOUR), amounts=("1", ""), **more):
    cells = {zone: TypedCell(amount) for zone, amount in zip(ZONES, amounts, strict=True)}
    return TypedLayer(key, glaze, cells=cells, **more)


def errors_of(*rows, **more):
    return read_grid(rows, ZONES, ON_HAND, **more).errors


@pytest.mark.parametrize("typed", ["3", " 3 ", "×3", "x3", "3x", "3 coats", "X 3"])
def test_coats_read_as_people_write_them(typed):
    assert read_amount(typed, Method.BRUSH) == Amount(coats=3)


@pytest.mark.parametrize("typed", ["2.5", "2,5", "2,5s", "2.5 s", "2.5 sec"])
def test_seconds_of_a_dip_read_with_comma_or_point(typed):
    assert read_amount(typed, Method.DIP) == Amount(dip_s=Decimal("2.5"))


@pytest.mark.parametrize("method", Method.values())
def test_an_empty_cell_is_no_glaze_there(method):
    assert read_amount("  ", method) is None


@pytest.mark.parametrize(
    ("typed", "method", "words"),
    [
        ("0", "brush", "Leave it empty"),
        ("21", "brush", "At most 20"),
        ("1.5", "brush", "whole coats"),
        ("-1", "spray", "whole coats"),
        ("many", "pour", "whole coats"),
        ("3 s", "brush", "choose dipped"),
        ("×2", "dip", "write seconds"),
        ("2 coats", "dip", "write seconds"),
        ("0", "dip", "0.1 to 600"),
        ("601", "dip", "0.1 to 600"),
        ("2.55", "dip", "such as 3 or 2.5"),
        ("٣", "brush", "whole coats"),
    ],
)
def test_what_is_no_amount_says_what_to_type(typed, method, words):
    with pytest.raises(ValueError, match=words):
        read_amount(typed, method)


@given(st.integers(1, grid.MOST_COATS), BY_COATS)
def test_coats_read_back_as_they_are_typed(coats, method):
    amount = Amount(coats=coats)

    assert read_amount(amount.typed, method) == amount


@given(st.decimals("0.1", "600", places=1))
def test_seconds_read_back_as_they_are_typed(seconds):
    assert read_amount(Amount(dip_s=seconds).typed, Method.DIP) == Amount(dip_s=seconds)


@given(st.text(max_size=12), st.sampled_from(Method.values()))
def test_whatever_is_typed_reads_within_bounds_or_is_refused_in_words(typed, method):
    try:
        amount = read_amount(typed, method)
    except ValueError:
        return
    assert amount is None or 1 <= (amount.coats or 1) <= 20
    assert amount is None or (amount.dip_s is None) != (amount.coats is None)


def test_a_layer_lies_where_coats_are_typed_and_nowhere_else():
    reading = read_grid([row(amounts=("3", ""))], ZONES, ON_HAND)

    assert not reading.errors
    assert {zone: cover.amount.coats for zone, cover in reading.layers[0].covers.items()} == {"band 1": 3}


def test_an_untouched_row_is_no_layer():
    blank = TypedLayer("n1", tool="40 mm soft brush", cells={zone: TypedCell() for zone in ZONES})

    assert read_grid([blank], ZONES, ON_HAND) == grid.Reading((), {})


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        (row(glaze=""), "glaze-n1"),
        (row(glaze="99"), "glaze-n1"),
        (row(glaze="7; drop"), "glaze-n1"),
        (row(batch="99"), "batch-n1"),
        (row(batch="32"), "batch-n1"),
        (row(method="dream"), "method-n1"),
        (row(gravity="0.9"), "gravity-n1"),
        (row(gravity="1.4567"), "gravity-n1"),
        (row(gravity="heavy"), "gravity-n1"),
        (row(tool="b" * 41), "tool-n1"),
        (row(after="1"), "after-n1"),
        (row(amounts=("", "")), "layer-n1"),
        (row(amounts=("21", "")), "coats-n1-band 1"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(typed, field):
    assert list(errors_of(typed)) == [field]


def test_a_lot_of_another_glaze_is_named():
    assert errors_of(row(batch="32"))["batch-n1"] == "Lot F-3 is of Flux L, not of Harbour."


def test_a_mass_without_coats_is_asked_about():
    measured = replace(row(), cells={"band 1": TypedCell("", mass="2.4")})

    assert errors_of(measured) == {"coats-n1-band 1": "Measured, but how many coats?"}


def test_mass_and_thickness_are_read_with_their_units():
    measured = replace(row(), cells={"band 1": TypedCell("2", mass="2,41 g", thickness="0.4 mm")})
    cover = read_grid([measured], ZONES, ON_HAND).layers[0].covers["band 1"]

    assert (cover.wet_mass_g, cover.thickness_mm) == (Decimal("2.41"), Decimal("0.4"))


def test_a_layer_put_on_after_a_firing_cannot_lie_under_an_older_one():
    refired, older = row("n1", after="1"), row("n2", after="0")

    assert list(errors_of(refired, older, firings=1)) == ["after-n2"]
    assert not errors_of(older, replace(refired, key="n3"), firings=1)


def test_a_posted_grid_runs_bottom_to_top_though_the_page_shows_the_top_first():
    fields = {
        "glaze-n2": "7",
        "glaze-n1": "8",
        "coats-n1-band 1": "1",
        "mass-n1-band 1": "2",
        "method-n2": "dip",
    }
    found = grid.typed_layers(["n2", "n1"], fields)

    assert [(layer.key, layer.glaze, layer.method) for layer in found] == [
        ("n1", "8", "brush"),
        ("n2", "7", "dip"),
    ]
    assert found[0].cells == {"band 1": TypedCell("1", "2")}


def test_rows_with_odd_or_repeated_keys_are_not_read_twice():
    found = grid.typed_layers(["n1", "n1", "<b>", ""], {})

    assert [layer.key for layer in found] == ["n1"]


def test_zones_of_another_form_wait_in_the_row():
    fields = {"glaze-n1": "7", "coats-n1-band 1": "2", "coats-n1-inside - deep": "4"}
    [found] = grid.typed_layers(["n1"], fields)
    reading = read_grid([found], ZONES, ON_HAND)

    assert found.cells["inside - deep"].amount == "4"
    assert list(reading.layers[0].covers) == ["band 1"]


LAYERS = st.builds(
    grid.LayerRecipe,
    glaze_id=st.sampled_from([HARBOUR, FLUX]),
    covers=st.dictionaries(
        st.sampled_from(ZONES),
        st.builds(
            grid.Cover,
            st.builds(Amount, coats=st.integers(1, 20)),
            st.none() | st.decimals(0, 5000, places=2),
            st.none() | st.decimals(0, 50, places=2),
        ),
        min_size=1,
    ),
    method=BY_COATS,
    tool=st.text("abc mm", max_size=40).map(str.strip),
    specific_gravity=st.none() | st.decimals("1", "2.5", places=3),
    key=st.just("n1"),
)


@given(LAYERS)
def test_a_layer_typed_out_reads_as_the_same_layer(layer):
    assert read_grid(grid.typed_from([layer]), ZONES, ON_HAND) == grid.Reading((layer,), {})


@given(
    st.lists(
        st.sampled_from(["add", "up n1", "down n1", "up n2", "remove n2", "remove nobody", "dance"]),
        max_size=30,
    )
)
def test_no_order_of_presses_breaks_the_rows(presses):
    rows = [row("n1"), row("n2")]
    for press in presses:
        rows = grid.edited(rows, press, TypedLayer(grid.new_key(rows)))
    keys = [each.key for each in rows]

    assert len(set(keys)) == len(keys) <= grid.MOST_LAYERS
    assert "n1" in keys


def test_a_layer_moves_up_and_down_and_stops_at_the_ends():
    rows = [row("n1"), row("n2"), row("n3")]

    assert [each.key for each in grid.moved(rows, "n1", 1)] == ["n2", "n1", "n3"]
    assert [each.key for each in grid.moved(rows, "n1", -1)] == ["n1", "n2", "n3"]
    assert [each.key for each in grid.moved(rows, "n3", 1)] == ["n1", "n2", "n3"]
