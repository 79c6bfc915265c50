"""One pattern, many tiles."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.cones import series
from tiles.recording.grid import Amount, Cover, LayerRecipe, Recipe
from tiles.recording.pattern import Pattern, numbered, read_amounts, read_cones, spread

FLUX = LayerRecipe(8, {"band 1": Cover(Amount(coats=1))})
HARBOUR = LayerRecipe(
    7, {"band 1": Cover(Amount(coats=1), wet_mass_g=Decimal("2.4")), "back": Cover(Amount(coats=3))}
)
RECIPE = Recipe(form_id=1, body_id=5, layers=(FLUX, HARBOUR), body_lot="D-12")


def labels(text):
    return [series.label_of(order) for order in read_cones(text)]


def test_copies_are_the_same_recipe():
    assert spread(RECIPE, Pattern(copies=3)) == [RECIPE] * 3


def test_one_for_each_body_keeps_the_lot_only_on_its_own_body():
    made = spread(RECIPE, Pattern(varying="body", bodies=(5, 6)))

    assert [(tile.body_id, tile.body_lot) for tile in made] == [(5, "D-12"), (6, "")]


def test_one_for_each_cone():
    made = spread(RECIPE, Pattern(varying="cone", cones=(28, 30)))

    assert [tile.planned_order for tile in made] == [28, 30]


def test_rising_coats_of_one_layer_leave_the_other_layers_alone():
    made = spread(RECIPE, Pattern(varying="coats", layer=1, amounts=(Amount(coats=1), Amount(coats=2))))

    assert [tile.layers[0] for tile in made] == [FLUX, FLUX]
    assert [{cover.amount.coats for cover in tile.layers[1].covers.values()} for tile in made] == [{1}, {2}]


def test_a_mass_weighed_for_other_coats_is_not_carried_on():
    one, two = spread(RECIPE, Pattern(varying="coats", layer=1, amounts=(Amount(coats=1), Amount(coats=2))))

    assert one.layers[1].covers["band 1"].wet_mass_g == Decimal("2.4")
    assert two.layers[1].covers["band 1"].wet_mass_g is None


@given(st.integers(1, 9), st.lists(st.integers(1, 38), min_size=1, max_size=9, unique=True))
def test_a_pattern_makes_as_many_tiles_as_it_says(copies, cones):
    pattern = Pattern(copies, "cone", cones=tuple(cones))

    assert len(spread(RECIPE, pattern)) == pattern.tile_count == copies * len(cones)


def test_numbers_incised_already_go_to_the_tiles_in_order():
    made = numbered([RECIPE, RECIPE], [1042, 1043])

    assert [tile.number for tile in made] == [1042, 1043]


@pytest.mark.parametrize(("given_numbers", "words"), [([1042], "1 number for 2"), ([1042, 1042], "twice")])
def test_numbers_that_do_not_fit_the_tiles_are_refused(given_numbers, words):
    with pytest.raises(ValueError, match=words):
        numbered([RECIPE, RECIPE], given_numbers)


def test_cones_are_listed_as_people_write_them():
    # Order of the series: the published cone table in firings/cones/cones.csv
    assert labels("5, 6, ^10") == labels("5; cone 6; 10") == ["5", "6", "10"]
    assert labels("5 6 10") == labels("^5 ^6 ^10") == ["5", "6", "10"]
    assert labels("5 1/2 6 to 8") == ["5½", "6", "7", "8"]
    assert labels("04 to 1") == ["04", "03", "02", "01", "1"]
    assert labels("5½-7") == ["5½", "6", "7"]


@pytest.mark.parametrize(
    ("text", "words"),
    [("", "Which cones"), ("15", "not a cone"), ("6 to 04", "falls"), ("x-y", "not a cone")],
)
def test_what_is_no_list_of_cones_is_refused_in_words(text, words):
    with pytest.raises(ValueError, match=words):
        read_cones(text)


def test_amounts_are_listed_or_given_as_a_range():
    assert [amount.coats for amount in read_amounts("1 to 3, 5", "brush")] == [1, 2, 3, 5]
    assert [amount.dip_s for amount in read_amounts("1,5 s; 3 s", "dip")] == [Decimal("1.5"), Decimal(3)]


@pytest.mark.parametrize(
    ("text", "method", "words"),
    [
        ("", "brush", "How many"),
        ("3-1", "brush", "falls"),
        ("0", "brush", "empty"),
        ("1-3", "dip", "one by one"),
    ],
)
def test_what_is_no_list_of_amounts_is_refused_in_words(text, method, words):
    with pytest.raises(ValueError, match=words):
        read_amounts(text, method)
