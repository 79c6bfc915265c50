"""Each tile in view gets its own share of the photo."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.photos.codes import Region
from tiles.tray.shares import shares_of_photo

SIDE = 0.02


@st.composite
def codes_apart(draw) -> list[Region]:
    """Codes of one size that do not overlap, anywhere in the photo."""
    cells = draw(st.sets(st.tuples(st.integers(0, 23), st.integers(0, 23)), min_size=1, max_size=20))
    return [Region(0.01 + across * 0.04, 0.01 + down * 0.04, SIDE, SIDE) for across, down in cells]


def middle(code: Region) -> tuple[float, float]:
    return code.x + code.width / 2, code.y + code.height / 2


def covers(share: Region, x: float, y: float) -> bool:
    return share.x <= x <= share.x + share.width and share.y <= y <= share.y + share.height


def overlap(one: Region, other: Region) -> float:
    across = min(one.x + one.width, other.x + other.width) - max(one.x, other.x)
    down = min(one.y + one.height, other.y + other.height) - max(one.y, other.y)
    return max(0.0, across) * max(0.0, down)


@given(codes_apart(), st.sampled_from([(4000, 3000), (3000, 4000), (1000, 1000)]))
def test_no_two_shares_overlap_and_each_holds_its_own_code_alone(codes, size_px):
    shares = shares_of_photo(codes, *size_px)

    for at, share in enumerate(shares):
        assert [covers(share, *middle(code)) for code in codes] == [n == at for n in range(len(codes))]
        assert 0 <= share.x <= share.x + share.width <= 1 + 1e-9
        assert all(overlap(share, other) < 1e-9 for other in shares[at + 1 :])


def test_one_code_has_the_whole_photo():
    assert shares_of_photo([Region(0.7, 0.7, 0.1, 0.1)], 4000, 3000) == [Region(0, 0, 1, 1)]


def test_tiles_in_rows_come_out_as_the_rows_lie():
    codes = [Region(0.2 + across / 3, 0.2 + down / 2, 0.02, 0.02) for down in range(2) for across in range(3)]

    shares = shares_of_photo(codes, 3000, 2000)

    assert sum(share.width * share.height for share in shares) == pytest.approx(1)
    assert shares[0].width == pytest.approx(0.21 + 1 / 6)
    assert shares[4].x == pytest.approx(0.21 + 1 / 6)
