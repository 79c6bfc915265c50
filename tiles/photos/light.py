"""How a photo was lit and focused, and what to do better: read from the mat's white paper and the edges of its codes.

Directions are of the upright photo as one looks at it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tiles.colour import srgb
from tiles.colour.srgb import Array
from tiles.photos import mat_sheet
from tiles.photos.mat import ReadCode, SeenMat
from tiles.prints.stock import Box

# Coded values that no longer tell how bright a place was: as in `tiles.colour.chart`.
BLOWN_AT, BLACK_AT = 254, 1

# Bars beyond which something is said.
# 15 % less light makes a middle grey 3.5 ΔE00 darker (CIE L*), more than a chart leaves uncorrected.
MOST_FALL_OFF = 0.15
# A shadow's edge: a place darker than the even slope of light by so much. Paper and printing stay within 5 % (measured
# here on rendered mats); common practice, no source, for the bar.
MOST_SHADOW = 0.20
# Common practice, no source: beyond this the far end of a tile is out of focus before the near one.
MOST_TILT_DEG = 20.0
# Five pixels to the smallest step of run that is judged, 1 mm.
FEWEST_PX_PER_MM = 5.0
# Rendered photos measured here: sharp ones have edges of 2 to 3 px from a tenth to nine tenths. Blurred is what is
# both wider than the camera's own edge and wide enough to hide a pinhole of half a millimetre.
MOST_EDGE_PX, MOST_EDGE_MM = 4.5, 0.5
# Common practice, no source.
MOST_CLIPPED, MOST_GLARE = 0.02, 0.03
# Glare is what is nearly as bright as the paper on a surface that is, for the most part, much darker.
GLARE_OF_PAPER, GLARE_OF_MEDIAN = 0.85, 1.8


@dataclass(frozen=True, slots=True)
class Light:
    """What a photo's light and focus are like; None where nothing in view could tell.

    `fall_off` is how much darker the darkest corner of the mat is lit than its brightest, as a share, and `towards`
    where it lies; `slope` is the change of light across the whole photo to the right and down, as shares of the light
    in its middle, and `paper` what the paper sends back there in linear sRGB, 0 to 1; `shadow` is how far the darkest
    tenth of the paper lies below that slope. `edge_px` and `edge_mm` are the width of a printed edge from a tenth to
    nine tenths of its step, in the original. Clipped shares and `glare` are of the tile's place where the mat is in
    view, else of the whole photo, as `looked_at` says.
    """

    fall_off: float | None
    towards: str
    slope: tuple[float, float] | None
    paper: tuple[float, float, float] | None
    shadow: float | None
    edge_px: float | None
    edge_mm: float | None
    blown: float
    black: float
    glare: float | None
    looked_at: str

    def at(self, place: Sequence[float]) -> float:
        """The light at a place [shares] against that in the photo's middle; 1 where it is not known.

        Divide light by it before colours from two places are compared.
        """
        if self.slope is None:
            return 1.0
        return max(0.2, 1 + self.slope[0] * (place[0] - 0.5) + self.slope[1] * (place[1] - 0.5))


@dataclass(frozen=True, slots=True)
class Scene:
    """A photo to be judged: upright sRGB pixels (h, w, 3), and its grey (h, w) as large as codes were read in."""

    colours: NDArray[np.uint8]
    grey: NDArray[np.uint8]
    enlarged: float  # pixels of the original to one of `grey`


def light_of(scene: Scene, codes: Sequence[ReadCode], mat: SeenMat | None) -> Light:
    """Judge light and focus; `codes` have their corners in pixels of the scene's grey."""
    edge_px = edge_width_px(scene.grey, codes)
    edge_px = None if edge_px is None else edge_px * scene.enlarged
    if mat is None:
        blown, black = clipped_shares(scene.colours)
        return Light(None, "", None, None, None, edge_px, None, blown, black, None, "the whole photo")
    part = tile_part(scene.colours, mat)
    blown, black = clipped_shares(part)
    lit = light_on_paper(scene.colours, mat)
    return Light(
        fall_off=lit.fall_off if lit else None,
        towards=lit.towards if lit else "",
        slope=lit.slope if lit else None,
        paper=lit.paper if lit else None,
        shadow=lit.shadow if lit else None,
        edge_px=edge_px,
        edge_mm=None if edge_px is None else edge_px / mat.px_per_mm,
        blown=blown,
        black=black,
        glare=_glare_share(part, lit.at_mark) if lit else None,
        looked_at="the tile’s place",
    )


def advice_on(light: Light, mat: SeenMat | None) -> tuple[str, ...]:
    """What to do better at the next photo, most telling first; nothing where all is well."""
    said = [*_light_advice(light), *_focus_advice(light)]
    if mat is not None:
        said += _standpoint_advice(mat)
    return tuple(said)


def percent(share: float) -> str:
    """A share as people write it.

    >>> percent(0.196)
    '20 %'
    """
    return f"{share * 100:.0f} %"


def _light_advice(light: Light) -> list[str]:
    said = []
    if light.fall_off is not None and light.fall_off > MOST_FALL_OFF:
        said.append(
            f"Light falls off {light.towards} by {percent(light.fall_off)}: turn the tile or add a reflector."
        )
    if light.shadow is not None and light.shadow > MOST_SHADOW:
        said.append(
            f"Part of the paper is {percent(light.shadow)} darker than the rest: keep shadows and other things off it."
        )
    if light.blown > MOST_CLIPPED:
        said.append(f"{percent(light.blown)} of {light.looked_at} is blown out: expose less.")
    if light.looked_at != "the whole photo" and light.fall_off is None:
        said.append("The white paper is blown out, so its light cannot be read: expose less.")
    if light.black > MOST_CLIPPED:
        said.append(
            f"{percent(light.black)} of {light.looked_at} is black without detail: give it more light."
        )
    if light.glare is not None and light.glare > MOST_GLARE:
        said.append(
            f"Light glances off {percent(light.glare)} of the tile: turn it, or move the lamp or window to the side."
        )
    return said


def _focus_advice(light: Light) -> list[str]:
    if light.edge_px is None or light.edge_px <= MOST_EDGE_PX:
        return []
    if light.edge_mm is not None and light.edge_mm <= MOST_EDGE_MM:
        return []
    width = f"{light.edge_px:.0f} px" if light.edge_mm is None else f"{light.edge_mm:.1f} mm"
    return [
        f"The photo is blurred: a sharp edge is {width} wide. Hold still, tap on the tile to focus, wipe the lens."
    ]


def _standpoint_advice(mat: SeenMat) -> list[str]:
    said = []
    if mat.is_rough:
        read = "1 of the mat’s 4 codes was" if len(mat.corners) == 1 else "2 of the mat’s 4 codes were"
        said.append(f"Only {read} read, so lengths are rough: have all four corners in view and uncovered.")
    if mat.tilt_deg > MOST_TILT_DEG:
        said.append(f"The camera is tilted by {mat.tilt_deg:.0f}°: hold it level above the mat.")
    if mat.px_per_mm < FEWEST_PX_PER_MM:
        said.append(
            f"The mat is small in the photo, {mat.px_per_mm:.1f} pixels to a millimetre: go nearer and fill the frame."
        )
    return said


@dataclass(frozen=True, slots=True)
class PaperLight:
    """The light on the mat's paper, as in `Light`; `at_mark` is its linear luminance at the tile's mark, 0 to 1."""

    fall_off: float
    towards: str
    slope: tuple[float, float]
    paper: tuple[float, float, float]
    shadow: float
    at_mark: float


# Fewer clear spots of paper than this tell no slope.
FEWEST_SPOTS = 20
MOST_BLOWN_SPOTS = 0.4
SPOT_MM = 1.2
LUMINANCE = np.array([0.2126, 0.7152, 0.0722])  # IEC 61966-2-1
# The part of the field for tiles that the smallest usual tile covers, from its mark: common practice, no source.
TILE_PART_MM = (45.0, 60.0)


def light_on_paper(colours: NDArray[np.uint8], mat: SeenMat) -> PaperLight | None:
    """The slope of light over the mat's blank paper; None where too little of it is seen, or it is blown out."""
    spots = np.array(list(mat.layout.blank_spots())) * mat.printed_scale
    places, light, blown = _paper_seen(colours, mat, spots)
    if len(places) < FEWEST_SPOTS or blown.mean() > MOST_BLOWN_SPOTS:
        return None
    places, light = places[~blown] - 0.5, light[~blown]
    luminance = light @ LUMINANCE
    level, right, down = _fitted_plane(places, luminance)
    if level <= 0:
        return None
    slope = np.array([right, down]) / level
    sheet = mat.layout
    whole = Box(0, 0, sheet.width_mm, sheet.height_mm)
    lit = 1 + (mat.box_corners(whole).clip(0, 1) - 0.5) @ slope
    relative = (1 + places @ slope).clip(0.05)
    mark = mat.shares_of(np.array(sheet.tile_mark) * mat.printed_scale)
    red, green, blue = np.median(light / relative[:, None], axis=0).tolist()
    return PaperLight(
        fall_off=float(1 - max(lit.min(), 0.0) / lit.max()),
        towards=_towards(-slope[0] / colours.shape[1], -slope[1] / colours.shape[0]),
        slope=(float(slope[0]), float(slope[1])),
        paper=(red, green, blue),
        shadow=float(max(0.0, np.percentile(1 - luminance / (level * relative), 90))),
        at_mark=float(level * (1 + (mark - 0.5) @ slope)),
    )


def _paper_seen(
    colours: NDArray[np.uint8], mat: SeenMat, spots_mm: Array
) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Places in view [shares] (n, 2), the linear light there (n, 3), and whether it is blown out (n,)."""
    around = np.array([(x, y) for x in (-SPOT_MM, 0, SPOT_MM) for y in (-SPOT_MM, 0, SPOT_MM)])
    places = mat.shares_of(spots_mm[:, None] + around[None])
    places = places[((places > 0.002) & (places < 0.998)).all(axis=(1, 2))]
    height, width = colours.shape[:2]
    pixels = (places * (width, height)).astype(int)
    seen = colours[pixels[..., 1], pixels[..., 0]]
    blown = (seen >= BLOWN_AT).any(axis=-1).mean(axis=1) > 0.5
    return places.mean(axis=1), srgb.to_linear(np.median(seen, axis=1)), blown


def _fitted_plane(places: Array, luminance: Array) -> Array:
    """Level in the photo's middle and slopes to the right and down; what lies far off is left out in turn.

    Noughts where too little agrees on one.
    """
    terms = np.concatenate([np.ones((len(places), 1)), places], axis=1)
    kept = luminance > 0.4 * np.percentile(luminance, 90)
    found = np.zeros(3)
    for _ in range(5):
        if kept.sum() < FEWEST_SPOTS // 2:
            return np.zeros(3)
        found = np.linalg.lstsq(terms[kept], luminance[kept], rcond=None)[0]
        off = luminance - terms @ found
        bar = max(3 * 1.4826 * float(np.median(np.abs(off[kept]))), 0.02 * float(np.median(luminance[kept])))
        kept = np.abs(off) <= bar
    return found


DIRECTIONS = (
    "to the right",
    "to the lower right",
    "to the bottom",
    "to the lower left",
    "to the left",
    "to the upper left",
    "to the top",
    "to the upper right",
)


def _towards(right: float, down: float) -> str:
    """A direction in the picture in words, to the nearest eighth of a turn.

    >>> _towards(-1.0, 0.1), _towards(1.0, -1.0)
    ('to the left', 'to the upper right')
    """
    return DIRECTIONS[round(np.degrees(np.arctan2(down, right)) / 45) % 8]


def tile_part(colours: NDArray[np.uint8], mat: SeenMat) -> NDArray[np.uint8]:
    """Pixels (n, 3) of the part of the tile's place that every tile covers; those in view."""
    x_mm, y_mm = mat.layout.tile_mark
    return pixels_of(colours, mat, Box(x_mm, y_mm, *TILE_PART_MM).inset(2))


def pixels_of(colours: NDArray[np.uint8], mat: SeenMat, box: Box) -> NDArray[np.uint8]:
    """Pixels (n, 3) of a printed place on the mat, three to a millimetre; those in view."""
    across = np.linspace(box.x_mm, box.right_mm, round(3 * box.width_mm))
    down = np.linspace(box.y_mm, box.bottom_mm, round(3 * box.height_mm))
    grid = np.stack(np.meshgrid(across, down), axis=-1).reshape(-1, 2)
    places = mat.shares_of(grid * mat.printed_scale)
    places = places[((places >= 0) & (places < 1)).all(axis=1)]
    height, width = colours.shape[:2]
    pixels = (places * (width, height)).astype(int)
    return colours[pixels[:, 1], pixels[:, 0]]


def clipped_shares(colours: NDArray[np.uint8]) -> tuple[float, float]:
    """Shares of pixels that are blown out in a channel, and black in all; 0 and 0 of no pixels."""
    pixels = colours.reshape(-1, 3)
    if not len(pixels):
        return 0.0, 0.0
    pixels = pixels[:: max(1, len(pixels) // 200_000)]
    return float((pixels.max(axis=1) >= BLOWN_AT).mean()), float((pixels.max(axis=1) <= BLACK_AT).mean())


def _glare_share(part: NDArray[np.uint8], paper: float) -> float:
    """Share of pixels nearly as bright as paper on a surface that is much darker for the most part."""
    if not len(part):
        return 0.0
    luminance = srgb.to_linear(part) @ LUMINANCE
    bar = max(GLARE_OF_PAPER * paper, GLARE_OF_MEDIAN * float(np.median(luminance)))
    return float((luminance > bar).mean())


# Where along a code's outer edge its finder marks are black for certain, as shares of the side: up to 45 modules.
ALONG = np.linspace(0.04, 0.14, 12)
STEP_PX = 0.25
# A step from paper to ink smaller than this [of 1, in linear light] is no edge to measure.
LEAST_STEP = 0.1
# Tile codes hold an address: 33 modules and fewer (measured here for addresses up to 60 letters).
USUAL_MODULES = 33


def edge_width_px(grey: NDArray[np.uint8], codes: Sequence[ReadCode]) -> float | None:
    """Width of the printed edge [px] from a tenth to nine tenths of its step, the median over all codes' finder marks.

    This width of a blur with the spread s is 2.56 s for the usual bell shape. None without a code to measure on.
    """
    widths = [width for code in codes for edge in _edges(code) if (width := _width_of(grey, edge))]
    return float(np.median(widths)) if widths else None


@dataclass(frozen=True, slots=True)
class Edge:
    """An outer edge of a finder mark: from its corner along the code's side, and the way into the ink [px]."""

    start: Array
    along: Array
    inward: Array
    reach_px: float


def _edges(code: ReadCode) -> list[Edge]:
    """Six outer edges of the three finder marks; those of the lower right corner there are none."""
    upper_left, upper_right, lower_right, lower_left = (np.array(corner) for corner in code.corners_px)
    modules = mat_sheet.CODE_MODULES if mat_sheet.read(code.content) else USUAL_MODULES
    sides = [
        (upper_left, upper_right, lower_left),
        (upper_right, upper_left, lower_right),
        (upper_left, lower_left, upper_right),
        (lower_left, upper_left, lower_right),
        (upper_right, lower_right, upper_left),
        (lower_left, lower_right, upper_left),
    ]
    return [_edge(start, end, inside, modules) for start, end, inside in sides]


def _edge(start: Array, end: Array, inside: Array, modules: int) -> Edge:
    along = end - start
    length = float(np.hypot(*along)) or 1.0
    across = np.array([-along[1], along[0]]) / length
    inward = across if (inside - start) @ across > 0 else -across
    return Edge(start, along, inward, length / modules)


def _width_of(grey: NDArray[np.uint8], edge: Edge) -> float | None:
    """From profiles across the edge, laid over each other at their middle so that a slanted edge is not blurred."""
    away = np.arange(-edge.reach_px, edge.reach_px, STEP_PX)
    if len(away) < 8:
        return None
    places = (edge.start + ALONG[:, None] * edge.along)[:, None] + away[None, :, None] * edge.inward
    light = _between_pixels(grey, places)
    paper = np.median(light[:, away < -0.6 * edge.reach_px])
    ink = np.median(light[:, (away > 0.5 * edge.reach_px) & (away < 0.9 * edge.reach_px)])
    if paper - ink < LEAST_STEP:
        return None
    steps = (light - ink) / (paper - ink)
    laid = [np.interp(away, away - away[_crossing(step)], step) for step in steps]
    mean = np.minimum.accumulate(np.mean(laid, axis=0))
    return float(np.interp(-0.1, -mean, away) - np.interp(-0.9, -mean, away))


def _crossing(step: Array) -> int:
    """Where a profile falls below its half for the first time; its middle where it never does."""
    below = np.flatnonzero(step < 0.5)
    return int(below[0]) if len(below) else len(step) // 2


def _between_pixels(grey: NDArray[np.uint8], places: Array) -> Array:
    """Linear light at places [px] (..., 2) of a grey picture, straight between the middles of its pixels."""
    height, width = grey.shape
    x, y = (places[..., 0] - 0.5).clip(0, width - 1.001), (places[..., 1] - 0.5).clip(0, height - 1.001)
    left, top = x.astype(int).clip(0, max(0, width - 2)), y.astype(int).clip(0, max(0, height - 2))
    right, low = np.minimum(left + 1, width - 1), np.minimum(top + 1, height - 1)
    u, v = x - left, y - top
    light = srgb.BYTES
    upper = light[grey[top, left]] * (1 - u) + light[grey[top, right]] * u
    lower = light[grey[low, left]] * (1 - u) + light[grey[low, right]] * u
    return np.asarray(upper * (1 - v) + lower * v)
