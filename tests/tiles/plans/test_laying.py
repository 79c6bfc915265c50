"""Which zone takes which combination, and what lies on it."""

from hypothesis import given
from hypothesis import strategies as st

from tiles.plans.laying import Coat, ZonePlace, coats_of, laid, taking
from tiles.plans.sketch import Sketch

THREE_BANDS = (
    ZonePlace("texture", "texture", 9.0),
    ZonePlace("band 1", "band", 12.0),
    ZonePlace("band 2", "band", 12.0),
    ZonePlace("band 3", "band", 12.0),
    ZonePlace("back", "back", 40.0),
    ZonePlace("foot", "foot", 10.0),
)
COATS = tuple({"glaze": "7", "coats": str(count)} for count in (1, 2, 3))


def test_rising_coats_lie_on_the_bands_and_the_full_number_on_the_rest():
    zones = laid(COATS, THREE_BANDS, "same")

    assert [(name, one and one["coats"]) for name, one in zones.items()] == [
        ("band 1", "1"),
        ("band 2", "2"),
        ("band 3", "3"),
        ("texture", "3"),
        ("back", "3"),
        ("foot", None),
    ]


def test_the_rest_may_stay_bare():
    zones = laid(COATS[:2], THREE_BANDS, "bare")

    assert [name for name, one in zones.items() if one is None] == ["texture", "band 3", "back", "foot"]


def test_one_combination_takes_all_bands():
    zones = laid(COATS[:1], THREE_BANDS, "bare")

    assert [name for name, one in zones.items() if one] == ["band 1", "band 2", "band 3"]


def test_without_bands_the_whole_face_is_taken_else_all_but_the_foot():
    face = [ZonePlace("face", "whole", 50.0), ZonePlace("back", "back", 50.0)]

    assert [zone.name for zone in taking(face)] == ["face"]
    assert [zone.name for zone in taking(face[1:])] == ["back"]


@given(
    st.integers(1, 3),
    st.sampled_from(["same", "bare"]),
    st.lists(st.sampled_from("btwk"), min_size=1, max_size=6),
)
def test_the_foot_is_never_glazed_and_every_combination_has_a_zone(count, rest, kinds):
    names = {"b": "band", "t": "texture", "w": "whole", "k": "foot"}
    zones = [ZonePlace(f"zone {place}", names[kind], 10.0) for place, kind in enumerate(kinds)]
    own = COATS[: min(count, len(taking(zones)))]

    found = laid(own, zones, rest) if own else {}

    assert not [zone for zone in zones if zone.kind == "foot" and found.get(zone.name)]
    assert all(one in found.values() for one in own)


def test_layers_run_from_the_bottom_up():
    stack = coats_of(
        {"glaze": "7", "under": "3", "over": "4", "coats": "2", "method": "dip", "lot": "11"},
        Sketch(under_coats=2),
    )

    assert stack == (Coat("3", 2), Coat("7", 2, "dip", "11"), Coat("4", 1))
    assert [coat.words for coat in stack] == ["×2", "2 s", "×1"]
