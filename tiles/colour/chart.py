"""Finding a 24-patch chart in a photo by its looks alone: even squares on a lattice, in the published colours.

No corner marks are asked for. Even areas are gathered at two sizes of the photo, neighbours of like size are strung to
a lattice that may lie in perspective, and every way of laying six by four patches on it is tried. What is found must
also be right in colour, so a picture of squares is not taken for a chart.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tiles.colour import chart24
from tiles.colour.areas import Areas, even_areas, steps_between
from tiles.colour.correction import Correction, from_chart
from tiles.colour.homography import fit_homography, through
from tiles.colour.srgb import Array

# Sides of the photo [px] at which even areas are looked for: small charts need the large one, noisy photos the small.
LOOKED_AT_PX = (1100, 600)
# Largest steps [of 255] between neighbouring pixels that still count as even.
EVENNESS = (5, 9, 16)
# A chart whose patches, put right, stay further off in the mean [ΔE00] is none, or not the one we know.
MOST_RESIDUAL = 6.0
# Below this many of the 24 patches seen as even areas there is too little to go by.
FEWEST_SEEN = 12
# The part of a patch that is looked at, as a share of the pitch: clear of borders and of blur.
LOOKED_AT_SHARE = 0.4
SAMPLES_ACROSS = 20
# A patch with a larger share of pixels at either end of the scale is clipped, and says nothing of its colour.
MOST_CLIPPED = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class FoundChart:
    """A chart in a photo.

    `homography` takes chart places (patch columns 0 to 6, rows 0 to 4, from the upper left of dark skin) to pixels
    of the photo; `patches_rgb8` (24, 3) are medians; `usable` tells the patches that are not clipped.
    """

    homography: Array
    patches_rgb8: Array
    usable: NDArray[np.bool_]
    correction: Correction


@dataclass(frozen=True, slots=True)
class NoChart:
    """Why no chart was taken, in words."""

    reason: str


def find_chart(picture: Image.Image) -> FoundChart | NoChart:
    """The 24-patch chart in an upright sRGB photo, with the correction its patches ask for.

    The chart may lie turned by any angle and in perspective, and must be in full view.
    """
    whole = np.asarray(picture.convert("RGB"))
    best: FoundChart | None = None
    for lattice in _lattices(picture):
        for laid in _laid_on(lattice, whole):
            if best is None or _off(laid) < _off(best):
                best = laid
        if best and _off(best) < MOST_RESIDUAL / 2:
            break
    if best is None or _off(best) > MOST_RESIDUAL:
        return NoChart(
            "No 24-patch chart was found. Have all of it in view, in even light, and no part of it blown out."
        )
    return replace(best, correction=from_chart(best.patches_rgb8, best.usable))


def _off(found: FoundChart) -> float:
    assert found.correction.residual_mean is not None
    return found.correction.residual_mean


Lattice = dict[tuple[int, int], Array]


def _lattices(picture: Image.Image) -> Iterator[Lattice]:
    """Lattices of even areas, places in pixels of the whole photo, for every size and evenness in turn."""
    for side_px in LOOKED_AT_PX:
        share = min(1.0, side_px / max(picture.size))
        size = (max(1, round(picture.width * share)), max(1, round(picture.height * share)))
        looked_at = np.asarray(picture.convert("RGB").resize(size, Image.Resampling.BOX, reducing_gap=None))
        scale = np.array([picture.width / size[0], picture.height / size[1]])
        steps = steps_between(looked_at)
        for most_step in EVENNESS:
            for lattice in strung(even_areas(steps, most_step)):
                yield {place: (middle + 0.5) * scale - 0.5 for place, middle in lattice.items()}


def strung(areas: Areas) -> list[Lattice]:
    """Areas of like size strung to lattices, the largest first; each area is in one lattice at most."""
    left = np.ones(len(areas.middles), dtype=bool)
    found = []
    for seed in np.argsort(-areas.sizes):
        if left[seed]:
            lattice = _grown(areas, int(seed))
            left[list(lattice.values())] = False
            if len(lattice) >= FEWEST_SEEN:
                found.append({place: areas.middles[index] for place, index in lattice.items()})
    return sorted(found, key=len, reverse=True)


def _grown(areas: Areas, seed: int) -> dict[tuple[int, int], int]:
    """The lattice around one area: each step is where its neighbour's step leads, near enough and of like size."""
    across = _first_step(areas, seed)
    if across is None:
        return {}
    down = np.array([-across[1], across[0]])
    placed = {(0, 0): seed}
    steps = {(0, 0): (across, down)}
    waiting = [(0, 0)]
    while waiting:
        column, row = waiting.pop(0)
        here = placed[column, row]
        step_across, step_down = steps[column, row]
        for dc, dr, step in (
            (1, 0, step_across),
            (-1, 0, -step_across),
            (0, 1, step_down),
            (0, -1, -step_down),
        ):
            place = (column + dc, row + dr)
            if place in placed or max(map(abs, place)) > 6:
                continue
            index = _near(areas, here, areas.middles[here] + step)
            if index is None or index in placed.values():
                continue
            taken = (areas.middles[index] - areas.middles[here]) * (dc + dr)
            placed[place] = index
            steps[place] = (taken, step_down) if dc else (step_across, taken)
            waiting.append(place)
    return placed


def _first_step(areas: Areas, seed: int) -> Array | None:
    """The way to the nearest area of like size, if it is about as far as squares of that size would be."""
    away = areas.middles - areas.middles[seed]
    far = np.hypot(away[:, 0], away[:, 1])
    side = np.sqrt(areas.sizes[seed])
    near = _alike(areas, seed) & (far > 0.8 * side) & (far < 2.2 * side)
    return away[np.argmin(np.where(near, far, np.inf))] if near.any() else None


def _alike(areas: Areas, index: int) -> NDArray[np.bool_]:
    ratio = areas.sizes / areas.sizes[index]
    return np.asarray((ratio > 0.4) & (ratio < 2.5))


def _near(areas: Areas, origin: int, place: Array) -> int | None:
    """The area of like size within a third of its side of a place."""
    far = np.linalg.norm(areas.middles - place, axis=1)
    far[~_alike(areas, origin)] = np.inf
    index = int(np.argmin(far))
    return index if far[index] < 0.35 * np.sqrt(areas.sizes[origin]) + 1 else None


def _laid_on(lattice: Lattice, whole: NDArray[np.uint8]) -> Iterator[FoundChart]:
    """Each way of laying six by four patches, four ways round, on a lattice so that enough of it is seen."""
    places = np.array(list(lattice))
    middles = np.array(list(lattice.values()))
    for turns in range(4):
        turned = places @ np.linalg.matrix_power(np.array([[0, 1], [-1, 0]]), turns)
        low, high = turned.min(axis=0), turned.max(axis=0)
        for left in range(low[0] - 2, high[0] - chart24.COLUMNS + 4):
            for top in range(low[1] - 2, high[1] - chart24.ROWS + 4):
                cells = turned - (left, top)
                inside = ((cells >= 0) & (cells < (chart24.COLUMNS, chart24.ROWS))).all(axis=1)
                if (
                    inside.sum() >= FEWEST_SEEN
                    and (cells[inside].max(axis=0) > cells[inside].min(axis=0)).all()
                ):
                    yield from _laid(cells[inside] + 0.5, middles[inside], whole)


def _laid(cells: Array, middles: Array, whole: NDArray[np.uint8]) -> Iterator[FoundChart]:
    try:
        homography = fit_homography(cells, middles)
        patches, usable = sampled(whole, homography)
        yield FoundChart(homography, patches, usable, from_chart(patches, usable, straighten=False))
    except (ValueError, np.linalg.LinAlgError):
        return


def sampled(whole: NDArray[np.uint8], homography: Array) -> tuple[Array, NDArray[np.bool_]]:
    """The median of each patch's middle (24, 3) and which patches are in view and not clipped (24,).

    Raises
    ------
    ValueError : the chart lies partly outside the photo
    """
    offsets = np.linspace(-LOOKED_AT_SHARE / 2, LOOKED_AT_SHARE / 2, SAMPLES_ACROSS)
    grid = np.stack(np.meshgrid(offsets, offsets), axis=-1).reshape(-1, 2)
    columns, rows = np.meshgrid(np.arange(chart24.COLUMNS) + 0.5, np.arange(chart24.ROWS) + 0.5)
    middles = np.stack([columns.ravel(), rows.ravel()], axis=-1)
    at = np.rint(through(homography, middles[:, None] + grid[None])).astype(int)
    height, width = whole.shape[:2]
    if at.min() < 0 or at[..., 0].max() >= width or at[..., 1].max() >= height:
        raise ValueError("the chart lies partly outside the photo")
    seen = whole[at[..., 1], at[..., 0]]
    clipped = ((seen >= 254) | (seen <= 1)).any(axis=-1).mean(axis=1)
    return np.median(seen, axis=1), clipped <= MOST_CLIPPED
