"""The part of a photo to look at for one zone: the zone, its coat's edges, and what ran out of it."""

from collections.abc import Sequence

Home = tuple[float, float, float, float]

# So much more than the zone to either side, as a share of it: its neighbours' edges, and room for a drip.
AROUND = 0.5


def home_about(area: Sequence[Sequence[float]]) -> Home:
    """Left, top, width and height about an area's corners, all shares of the photo, kept within it.

    >>> home_about([(0.4, 0.4), (0.6, 0.4), (0.6, 0.5), (0.4, 0.5)])
    (0.3, 0.35, 0.4, 0.2)
    >>> home_about([(0, 0), (1, 0), (1, 1), (0, 1)])
    (0.0, 0.0, 1.0, 1.0)
    """
    spans = [_span([corner[axis] for corner in area]) for axis in (0, 1)]
    (left, right), (top, bottom) = spans
    return left, top, round(right - left, 5), round(bottom - top, 5)


def _span(shares: Sequence[float]) -> tuple[float, float]:
    low, high = min(shares), max(shares)
    more = AROUND * (high - low)
    return max(0.0, round(low - more, 5)), min(1.0, round(high + more, 5))
