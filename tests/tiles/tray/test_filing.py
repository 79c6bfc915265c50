"""To which tile a photo goes by what is in view; never a guess."""

from tiles.photos.codes import Region, TileCode
from tiles.tray.filing import Waits, by_codes, no_such_tile

SOMEWHERE = Region(0.1, 0.1, 0.2, 0.2)


def test_the_only_code_in_view_decides():
    code = TileCode(1042, SOMEWHERE)

    assert by_codes([code]) == code


def test_without_a_code_it_waits():
    assert by_codes([]) == Waits("No tile code in view.")


def test_with_the_codes_of_several_tiles_it_waits_and_names_them():
    found = by_codes([TileCode(1042, SOMEWHERE), TileCode(572, SOMEWHERE)])

    # Check digits: 572 gives 4 in the Damm algorithm's usual example.
    assert found == Waits("Codes of several tiles in view: 1042-9, 572-4.")


def test_a_whole_board_in_view_stays_a_short_reason():
    found = by_codes([TileCode(number, SOMEWHERE) for number in range(1000, 1040)])

    assert found.reason.endswith("and more.")
    assert len(found.reason) < 200


def test_a_code_of_no_tile_of_ours_is_named():
    assert "572-4" in no_such_tile(572).reason
