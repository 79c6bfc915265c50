"""Which share of a photo belongs to which of the tiles in view, seen from where their codes lie."""

from collections.abc import Sequence

from tiles.photos.codes import Region


def shares_of_photo(codes: Sequence[Region], width_px: int, height_px: int) -> list[Region]:
    """A rectangle of the photo for each code, no two overlapping and each around its code's middle.

    Two codes part the photo half-way between their middles, by an upright line where they lie beside one another and
    a level one where they lie above one another, so tiles laid out in rows come out one by one. With one code in
    view the whole photo is its tile's.

    Parameters
    ----------
    codes : where the codes lie, as shares of the upright photo
    width_px, height_px : of the upright photo, since what is farther apart is told in pixels

    >>> left, right = Region(0.2, 0.4, 0.1, 0.1), Region(0.7, 0.4, 0.1, 0.1)
    >>> [(share.x, share.width) for share in shares_of_photo([left, right], 4000, 3000)]
    [(0.0, 0.5), (0.5, 0.5)]
    """
    middles = [(code.x + code.width / 2, code.y + code.height / 2) for code in codes]
    return [_share(at, middles, width_px / height_px) for at in range(len(middles))]


def _share(at: int, middles: Sequence[tuple[float, float]], aspect: float) -> Region:
    x, y = middles[at]
    left, top, right, bottom = 0.0, 0.0, 1.0, 1.0
    for other_x, other_y in (*middles[:at], *middles[at + 1 :]):
        between_x, between_y = (x + other_x) / 2, (y + other_y) / 2
        if abs(other_x - x) * aspect >= abs(other_y - y):
            left, right = (max(left, between_x), right) if other_x < x else (left, min(right, between_x))
        else:
            top, bottom = (max(top, between_y), bottom) if other_y < y else (top, min(bottom, between_y))
    return Region(left, top, right - left, bottom - top)
