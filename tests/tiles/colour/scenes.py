"""Charts as a camera might see them: rendered from the published colours, under a light."""

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageFilter

from tests.published_tables import rows_of
from tiles.colour import srgb
from tiles.colour.homography import fit_homography
from tiles.colour.lab import XYZ_TO_LINEAR, Illuminant, adapt, lab_to_xyz

CELL_PX, GAP_SHARE = 100, 0.14
# What a camera's dyes mix between its channels, and lights as gains: invented, of usual size.
CROSSTALK = np.array([[0.86, 0.12, 0.02], [0.07, 0.85, 0.08], [0.01, 0.14, 0.85]])
LIGHTS = {
    "daylight": (1.0, 1.0, 1.0),
    "shade": (0.82, 1.0, 1.22),
    "bulb": (1.35, 1.0, 0.62),
    "tube": (1.0, 1.14, 0.85),
}


@dataclass(frozen=True)
class Shot:
    """How a chart is photographed; `turn` in degrees, `tilt` as share of the width by which the far side shrinks;
    `tone` is how strongly a phone's contrast curve bends the middle greys, 0 for not at all.
    """

    light: str = "daylight"
    exposure: float = 0.85
    noise: float = 2.0
    blur_px: float = 0.8
    turn: float = 0.0
    tilt: float = 0.0
    share: float = 0.5
    tone: float = 0.0
    mixed: bool = True
    seed: int = 1
    size: tuple[int, int] = (1600, 1200)


def chart_linear() -> np.ndarray:
    """The published colours of the chart in linear sRGB light, from the table of the tests."""
    lab = [[float(row[f"{axis}_d50"]) for axis in "Lab"] for row in rows_of("chart24.csv")]
    xyz = adapt(lab_to_xyz(lab, Illuminant.D50), Illuminant.D50, Illuminant.D65)
    return xyz @ XYZ_TO_LINEAR[Illuminant.D65].T


def as_the_camera_sees(linear: np.ndarray, shot: Shot) -> np.ndarray:
    """Linear light of colours under the shot's light, through the camera's dyes."""
    seen = linear * np.array(LIGHTS[shot.light]) * shot.exposure
    light = np.clip(seen @ CROSSTALK.T if shot.mixed else seen, 0, 1)
    coded = srgb.to_coded(light) / 255
    return srgb.to_linear(255 * (coded - shot.tone * np.sin(2 * np.pi * coded) / (2 * np.pi)))


def flat_chart(shot: Shot) -> Image.Image:
    """The chart straight on: black card, six by four patches."""
    card = np.full((4 * CELL_PX, 6 * CELL_PX, 3), 0.012)
    gap = round(CELL_PX * GAP_SHARE / 2)
    for place, colour in enumerate(chart_linear()):
        row, column = divmod(place, 6)
        card[
            row * CELL_PX + gap : (row + 1) * CELL_PX - gap,
            column * CELL_PX + gap : (column + 1) * CELL_PX - gap,
        ] = colour
    return Image.fromarray(srgb.to_bytes(as_the_camera_sees(card, shot)))


def corners(shot: Shot) -> np.ndarray:
    """Where the chart's corners come to lie, upper left first, clockwise."""
    width, height = shot.size
    w, h = width * shot.share, width * shot.share * 4 / 6
    inset = w * shot.tilt / 2
    square = np.array(
        [(-w / 2 + inset, -h / 2), (w / 2 - inset, -h / 2 * (1 - shot.tilt)), (w / 2, h / 2), (-w / 2, h / 2)]
    )
    angle = np.radians(shot.turn)
    turned = square @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    return turned + np.array([width / 2, height / 2])


def laid_on(background: Image.Image, card: Image.Image, seen: np.ndarray) -> Image.Image:
    """The card in perspective on a picture."""
    across, down = card.size
    edge = [(0, 0), (across, 0), (across, down), (0, down)]
    back = fit_homography(seen, edge)
    coefficients = (back / back[2, 2]).ravel()[:8]
    size = background.size
    laid = card.transform(size, Image.Transform.PERSPECTIVE, tuple(coefficients), Image.Resampling.BICUBIC)
    mask = Image.new("L", card.size, 255).transform(size, Image.Transform.PERSPECTIVE, tuple(coefficients))
    return Image.composite(laid, background, mask)


def photographed(shot: Shot) -> Image.Image:
    """The chart on a grey table as the camera sees it."""
    table = as_the_camera_sees(np.full((1, 1, 3), 0.3), shot)
    background = Image.new("RGB", shot.size, tuple(int(v) for v in srgb.to_bytes(table)[0, 0]))
    scene = laid_on(background, flat_chart(shot), corners(shot))
    scene = scene.filter(ImageFilter.GaussianBlur(shot.blur_px))
    noise = np.random.default_rng(shot.seed).normal(0, shot.noise, (*scene.size[::-1], 3))
    return Image.fromarray(np.clip(np.asarray(scene) + noise, 0, 255).round().astype(np.uint8))
