"""The plane seen in perspective: a 3 × 3 homography from places on it to places in the picture."""

import numpy as np
from numpy.typing import ArrayLike

from tiles.colour.srgb import Array


def fit_homography(places: ArrayLike, seen: ArrayLike) -> Array:
    """The homography that takes places (n, 2) nearest to where they are seen (n, 2), n of 4 or more.

    Direct linear transform with normalised points: Hartley and Zisserman 2004, Multiple View Geometry, algorithm 4.2.

    Raises
    ------
    ValueError : fewer than four points, or points on one line

    >>> found = fit_homography([(0, 0), (1, 0), (1, 1), (0, 1)], [(2, 3), (4, 3), (4, 5), (2, 5)])
    >>> through(found, (0.5, 1)).round(6).tolist()
    [3.0, 5.0]
    """
    source, target = np.asarray(places, dtype=np.float64), np.asarray(seen, dtype=np.float64)
    if len(source) < 4:
        raise ValueError(f"{len(source)} points do not fix a plane; 4 are needed")
    from_source, from_target = _normalising(source), _normalising(target)
    x, y = through(from_source, source).T
    u, v = through(from_target, target).T
    one, nought = np.ones_like(x), np.zeros_like(x)
    rows_u = np.stack([x, y, one, nought, nought, nought, -u * x, -u * y, -u], axis=1)
    rows_v = np.stack([nought, nought, nought, x, y, one, -v * x, -v * y, -v], axis=1)
    _, strength, axes = np.linalg.svd(np.concatenate([rows_u, rows_v]), full_matrices=True)
    if strength[7] < 1e-7 * strength[0]:
        raise ValueError("these points lie on one line, which does not fix a plane")
    found = np.linalg.solve(from_target, axes[-1].reshape(3, 3) @ from_source)
    if abs(found[2, 2]) < 1e-12:
        raise ValueError("these points are seen from within their own plane")
    return np.asarray(found / found[2, 2])


def through(homography: Array, places: ArrayLike) -> Array:
    """Where places (..., 2) come to lie, shape (..., 2)."""
    given = np.asarray(places, dtype=np.float64)
    mapped = given @ homography[:, :2].T + homography[:, 2]
    return np.asarray(mapped[..., :2] / mapped[..., 2:])


def scale_at(homography: Array, place: ArrayLike, step: float = 1e-3) -> float:
    """How much longer lengths become at one place: the root of what areas grow by."""
    x, y = np.asarray(place, dtype=np.float64)
    ring = through(homography, [(x, y), (x + step, y), (x, y + step)])
    return float(np.sqrt(abs(np.linalg.det(ring[1:] - ring[0]))) / step)


def _normalising(points: Array) -> Array:
    """Moves the middle of the points to nought and their mean distance from it to √2."""
    middle = points.mean(axis=0)
    far = np.linalg.norm(points - middle, axis=1).mean()
    if far == 0:
        raise ValueError("all points are in one place, which does not fix a plane")
    scale = np.sqrt(2) / far
    return np.array([[scale, 0, -scale * middle[0]], [0, scale, -scale * middle[1]], [0, 0, 1]])
