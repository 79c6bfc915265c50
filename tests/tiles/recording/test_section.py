"""The drawings: what lies where, and how thick it looks."""

import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.recording import section
from tiles.recording.grid import Amount
from tiles.recording.section import Clay, LaidLayer, Outline, ZoneShape, draw_faces, draw_section

DUNE = Clay("Dune", "#e0d0b0", True)
BAND = ZoneShape("band 1", "front", False, 5, 5, 20, 60)
ROUGH = ZoneShape("texture", "front", True, 5, 65, 60, 20)
BACK = ZoneShape("back", "back", False, 5, 5, 60, 80)
OUTLINE = Outline("flat", 70, 110, (BAND, ROUGH, BACK))


def coats(number, swatch="#3a6a86", glaze="Harbour", method="brush"):
    return LaidLayer(glaze, swatch, method, Amount(coats=number))


def heights(path):
    """The lowest and the highest y of a path; down is positive."""
    ys = [float(y) for _, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path)]
    return min(ys), max(ys)


STACKS = st.lists(st.integers(1, 20).map(coats), max_size=8)


def test_a_layer_is_as_thick_as_its_coats():
    drawn = draw_section([BAND, BACK], DUNE, {"band 1": [coats(1)], "back": [coats(3)]})
    (high_1, low_1), (high_3, low_3) = (heights(column.slabs[0].path) for column in drawn.columns)

    assert low_3 - high_3 == pytest.approx(3 * (low_1 - high_1))


def test_layers_lie_on_each_other_from_the_clay_up():
    [column] = draw_section([BAND], DUNE, {"band 1": [coats(1, glaze="Flux L"), coats(2)]}).columns
    clay_top = heights(column.clay_path)[0]
    (flux_top, flux_foot), (harbour_top, harbour_foot) = (heights(slab.path) for slab in column.slabs)

    assert (flux_foot, harbour_foot) == (clay_top, flux_top)
    assert harbour_top < flux_top
    assert column.words == "Flux L ×1 + Harbour ×2"
    assert column.amounts == ("×2", "×1")


def test_bare_clay_is_said_and_shown_bare():
    [column] = draw_section([BAND], DUNE, {}).columns

    assert (column.words, column.slabs) == ("bare clay", ())


@given(st.lists(STACKS, min_size=1, max_size=4))
def test_the_thickest_stack_still_fits_the_drawing(stacks):
    zones = [ZoneShape(f"zone {n}", "front", n % 2 == 0, 0, 0, 10, 10) for n, _ in enumerate(stacks)]
    drawn = draw_section(zones, DUNE, dict(zip([zone.name for zone in zones], stacks, strict=True)))
    tops = [heights(slab.path)[0] for column in drawn.columns for slab in column.slabs]

    assert all(top >= 0 for top in tops)


def test_texture_is_levelled_by_the_layers_over_it():
    # A glaze thins on ridges and gathers in hollows ("breaking"): common practice, no source.
    [column] = draw_section([ROUGH], DUNE, {"texture": [coats(2), coats(2)]}).columns
    clay_ridge = section.RIDGE_HEIGHT
    reliefs = [section.RIDGE_HEIGHT * section.LEVELLING**count for count in (1, 2)]

    assert all(relief < clay_ridge for relief in reliefs)
    assert column.slabs[0].path.count("L") > 2 * section.RIDGES


def test_a_dip_is_one_skin_without_strokes_and_within_bounds():
    short, long = (LaidLayer("H", "#000000", "dip", Amount(dip_s=Decimal(s))) for s in ("0.2", "90"))
    drawn = draw_section([BAND], DUNE, {"band 1": [short, long]})

    assert [slab.strokes for slab in drawn.columns[0].slabs] == ["", ""]
    assert (section.steps(short.amount), section.steps(long.amount)) == section.DIP_STEPS


def test_more_coats_hide_more_of_the_clay():
    far = [
        sum(
            abs(a - b)
            for a, b in zip(*(section._channels(colour) for colour in (seen, "#000000")), strict=True)
        )
        for seen in (section.seen_from_above("#ffffff", [coats(n, "#000000")]) for n in range(6))
    ]

    assert far == sorted(far, reverse=True)
    assert len(set(far)) == len(far)


@given(st.sampled_from(["#ffffff", "#000000", "#767676", "#e0d0b0", "#3a6a86"]))
def test_words_on_a_zone_are_in_the_ink_of_more_contrast(swatch):
    # Contrast ratio (L1 + 0.05) / (L2 + 0.05): WCAG 2.2, success criterion 1.4.3
    red, green, blue = (section._linear(channel / 255) for channel in section._channels(swatch))
    luminance = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    on_white, on_black = 1.05 / (luminance + 0.05), (luminance + 0.05) / 0.05

    assert section.is_dark(swatch) == (on_white > on_black)


def test_faces_are_drawn_to_scale_front_first():
    faces = draw_faces(OUTLINE, DUNE, {"band 1": [coats(1)]}, "1042-9")
    front, back = faces.faces

    assert (front.name, back.name, back.number, front.number) == ("front", "back", "1042-9", "")
    assert [(patch.x, patch.y, patch.width, patch.height) for patch in front.patches] == [
        (5, 5, 20, 60),
        (5, 65, 60, 20),
    ]
    assert back.left == faces.width_mm + section.GAP_MM


def test_a_zone_shows_its_coats_top_layer_first_within_the_zone():
    faces = draw_faces(OUTLINE, DUNE, {"band 1": [coats(1), coats(3)]})
    patch = faces.faces[0].patches[0]

    assert [line.words for line in patch.lines] == ["×3", "×1"]
    assert all(patch.y < line.y < patch.y + patch.height for line in patch.lines)


def test_a_zone_too_small_for_many_amounts_says_how_many_layers():
    foot = ZoneShape("foot", "front", False, 0, 0, 50, 12)
    faces = draw_faces(Outline("flat", 60, 60, (foot,)), DUNE, {"foot": [coats(1)] * 6})

    assert [line.words for line in faces.faces[0].patches[0].lines] == ["6 layers"]


def test_only_a_speckled_body_has_grains():
    plain = Clay("Chalk", "#ffffff", False)

    assert draw_section([BAND], DUNE, {}).specks
    assert not draw_section([BAND], plain, {}).specks
    assert not draw_faces(OUTLINE, plain, {}).faces[0].specks


def test_a_form_without_zones_still_has_a_front():
    assert [face.name for face in draw_faces(Outline("flat", 60, 90, ()), DUNE, {}).faces] == ["front"]
