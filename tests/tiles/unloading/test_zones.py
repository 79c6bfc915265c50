"""A tile's zones in few words."""

from decimal import Decimal

from tiles.conditions.facts import LayerFacts
from tiles.unloading.zones import zone_lines


def layer(glaze, coats=None, dip_s=None, lot=""):
    return LayerFacts(ord(glaze[0]), glaze, None, lot, "brush", coats, dip_s)


FLUX = layer("Flux L", 1)


def test_bands_that_differ_in_coats_alone_are_said_together():
    zones = [(f"band {n}", (FLUX, layer("Harbour", n))) for n in (1, 2, 3)]

    assert zone_lines(zones) == [("band 1 to band 3", "Flux L ×1 + Harbour ×1, ×2, ×3")]


def test_another_layer_under_is_another_line():
    zones = [
        ("band 1", (layer("Harbour", 1),)),
        ("band 2", (FLUX, layer("Harbour", 2))),
        ("back", (layer("Tern", 2),)),
    ]

    assert [name for name, _ in zone_lines(zones)] == ["band 1", "band 2", "back"]


def test_coats_and_a_dip_of_one_glaze_are_said_together_and_lots_do_not_count():
    zones = [
        ("band 1", (layer("Harbour", 2, lot="24-118"),)),
        ("band 2", (layer("Harbour", dip_s=Decimal(3)),)),
    ]

    assert zone_lines(zones) == [("band 1 to band 2", "Harbour ×2, dip 3 s")]


def test_bare_zones_are_bare_clay():
    assert zone_lines([("back", ())]) == [("back", "bare clay")]
