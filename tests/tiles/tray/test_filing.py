"""To which tiles a photo goes by what is in view; never a guess."""

from tiles.photos.codes import Region, TileCode
from tiles.tray.filing import InView, in_view
from tiles.vocabulary import FiledBy

LEFT, RIGHT = Region(0.1, 0.4, 0.1, 0.1), Region(0.8, 0.4, 0.1, 0.1)


def test_the_only_code_in_view_gives_the_whole_photo_to_its_tile():
    (shown,) = in_view([TileCode(1042, LEFT)], {1042}, 4000, 3000).shown

    assert (shown.number, shown.region, shown.how) == (1042, None, FiledBy.CODE)


def test_without_a_code_it_waits():
    assert in_view([], {1042}, 4000, 3000) == InView(reason="No tile code in view.")


def test_two_codes_share_the_photo_between_their_tiles():
    found = in_view([TileCode(1042, LEFT), TileCode(572, RIGHT, FiledBy.NUMBER)], {1042, 572}, 4000, 3000)

    assert found.reason == ""
    assert [(shown.number, shown.how) for shown in found.shown] == [
        (1042, FiledBy.CODE),
        (572, FiledBy.NUMBER),
    ]
    assert [shown.region for shown in found.shown] == [Region(0, 0, 0.5, 1), Region(0.5, 0, 0.5, 1)]


def test_a_code_of_no_tile_of_ours_is_named_and_keeps_its_share():
    found = in_view([TileCode(1042, LEFT), TileCode(572, RIGHT)], {1042}, 4000, 3000)

    # Check digits: 572 gives 4 in the Damm algorithm's usual example.
    assert found.reason == "The code in view says 572-4, and no such tile is here."
    assert [shown.region for shown in found.shown] == [Region(0, 0, 0.5, 1)]


def test_a_whole_board_of_foreign_tiles_stays_a_short_reason():
    found = in_view([TileCode(number, LEFT) for number in range(1000, 1040)], set(), 4000, 3000)

    assert found.shown == ()
    assert "and more" in found.reason
    assert len(found.reason) < 200
