"""Whole photographs of the photo mat: its PDF rendered by pdfium, a glazed tile, a chart and a label laid on it, put
through a pinhole camera, a light, a lens's blur, noise and JPEG. What is true of each is known.
"""

import io
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
import pypdfium2
import zxingcpp
from PIL import Image
from scipy.ndimage import gaussian_filter

from tests.tiles.colour.scenes import CROSSTALK, LIGHTS, Shot, chart_linear
from tiles.colour import srgb
from tiles.colour.homography import scale_at, through
from tiles.photos.mat_sheet import SHEETS, MatSheet
from tiles.prints.mat import print_mat
from tiles.prints.stock import Box

# White paper and black ink send back about so much of the light: usual figures, from memory, unverified.
PAPER, INK = 0.86, 0.03
TABLE = 0.22
# A pocket chart: common size, from memory, unverified.
CHART_MM = (108.0, 63.0)
TILE_MM = (66.0, 112.0)
FILM_DIAGONAL_MM = 43.267
LABEL = "HTTP://192.168.178.123:8000/T/1042-9"


@dataclass(frozen=True)
class Scene:
    """How the mat is photographed. `fall_off` is the share by which light falls across the picture towards
    `darker_deg` (0 right, 90 down); `lift_mm` how thick the tile is; `glazes` seeds the colours of its bands.
    """

    sheet: str = "A4"
    shot: Shot = field(default_factory=Shot)
    tilt_deg: float = 0.0
    towards_deg: float = 0.0
    turn_deg: float = 0.0
    fill: float = 0.9
    fall_off: float = 0.0
    darker_deg: float = 180.0
    size: tuple[int, int] = (1500, 2000)
    lift_mm: float = 0.0
    focal_35_mm: float = 26.0
    chart: bool = True
    card: bool = False
    label_mm: float = 30.0
    glare: float = 0.0
    shadow: float = 0.0
    quality: int = 92
    glazes: int = 3
    notes: bool = True


@dataclass(frozen=True)
class Photographed:
    """The file, and what is true of it: the homography from mat mm to pixels, the scale, the bands' linear colours."""

    file: bytes
    homography: np.ndarray
    face: np.ndarray
    px_per_mm: float
    px_per_mm_face: float
    bands: tuple[tuple[Box, np.ndarray], ...]


@lru_cache(maxsize=32)
def photographed(scene: Scene) -> Photographed:
    """The photograph; drawn once for all who ask for the same scene."""
    sheet = SHEETS[scene.sheet]
    paper_plane, face_plane = plane_of(scene), plane_of(scene, scene.lift_mm)
    bands = _bands(scene, sheet)
    light = _seen_flat(scene, sheet, paper_plane, face_plane, bands) * _slope(scene)[..., None]
    blur_px = scene.shot.blur_px
    light = gaussian_filter(light, (blur_px, blur_px, 0), truncate=3) if blur_px else light
    coded = _developed(light, scene.shot)
    noise = np.random.default_rng(scene.shot.seed).standard_normal(coded.shape, np.float32)
    coded += scene.shot.noise * noise
    middle = np.array(sheet.tile_middle)
    return Photographed(
        _jpeg(coded.clip(0, 255).round().astype(np.uint8), scene),
        paper_plane,
        face_plane,
        scale_at(paper_plane, middle),
        scale_at(face_plane, middle),
        bands,
    )


def _developed(light: np.ndarray, shot: Shot) -> np.ndarray:
    """Coded values [0 to 255] of the camera: as `as_the_camera_sees`, by a table, since pictures have many pixels."""
    seen = (light * (np.array(LIGHTS[shot.light]) * shot.exposure).astype(np.float32)) @ CROSSTALK.T.astype(
        np.float32
    )
    table = srgb.to_coded(np.arange(65536) / 65535) / 255
    table = 255 * (table - shot.tone * np.sin(2 * np.pi * table) / (2 * np.pi))
    return table.astype(np.float32)[(seen.clip(0, 1) * 65535).astype(np.uint16)]


def _jpeg(pixels: np.ndarray, scene: Scene) -> bytes:
    file, notes = io.BytesIO(), Image.Exif()
    if scene.notes:
        notes.get_ifd(0x8769)[0xA405] = round(scene.focal_35_mm)
    Image.fromarray(pixels).save(file, "JPEG", quality=scene.quality, exif=notes)
    return file.getvalue()


def plane_of(scene: Scene, above_mm: float = 0.0) -> np.ndarray:
    """mm on a plane above the mat to pixels: a pinhole camera at a distance at which the mat fills its share."""
    sheet, (width, height) = SHEETS[scene.sheet], scene.size
    focal = scene.focal_35_mm / FILM_DIAGONAL_MM * float(np.hypot(width, height))
    distance = focal * sheet.height_mm / (scene.fill * height)
    lens = np.array([[focal, 0, width / 2], [0, focal, height / 2], [0, 0, 1]])
    turned = _tilted(scene.tilt_deg, scene.towards_deg) @ _about_z(scene.turn_deg)
    middle = np.array([sheet.width_mm / 2, sheet.height_mm / 2, above_mm])
    placed = np.column_stack([turned[:, 0], turned[:, 1], np.array([0, 0, distance]) - turned @ middle])
    found = lens @ placed
    return found / found[2, 2]


def _about_z(degrees: float) -> np.ndarray:
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])


def _tilted(degrees: float, towards_deg: float) -> np.ndarray:
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    around = _about_z(towards_deg)
    return around @ np.array([[c, 0, -s], [0, 1, 0], [s, 0, c]]) @ around.T


def _bands(scene: Scene, sheet: MatSheet) -> tuple[tuple[Box, np.ndarray], ...]:
    """Four bands down the tile with their linear colours."""
    x_mm, y_mm = sheet.tile_mark
    colours = srgb.to_linear(np.random.default_rng(scene.glazes).integers(40, 215, (4, 3)))
    each = TILE_MM[1] / 4
    return tuple((Box(x_mm, y_mm + k * each, TILE_MM[0], each), colours[k]) for k in range(4))


def _seen_flat(
    scene: Scene, sheet: MatSheet, paper_plane: np.ndarray, face_plane: np.ndarray, bands
) -> np.ndarray:
    """Linear light of all that lies on the table, before any illuminant, (h, w, 3)."""
    per_mm = max(2.0, scale_at(paper_plane, sheet.tile_middle))
    light = np.full((*scene.size[::-1], 3), TABLE, np.float32)
    whole = Box(0, 0, sheet.width_mm, sheet.height_mm)
    _lay(light, _flat_mat(scene, per_mm), whole, paper_plane)
    _lay(light, _flat_tile(scene, bands, per_mm), Box(*sheet.tile_mark, *TILE_MM), face_plane)
    return light


def _lay(light: np.ndarray, flat: np.ndarray, box: Box, plane: np.ndarray) -> None:
    """Draw a flat thing, which fills a box on a plane, into the picture."""
    size = light.shape[1::-1]
    across, down = box.width_mm / flat.shape[1], box.height_mm / flat.shape[0]
    to_flat = np.linalg.inv(plane @ np.array([[across, 0, box.x_mm], [0, down, box.y_mm], [0, 0, 1]]))
    way = (to_flat / to_flat[2, 2]).ravel()[:8].tolist()
    where = Image.fromarray(np.ones(flat.shape[:2], np.float32)).transform(
        size, Image.Transform.PERSPECTIVE, way, Image.Resampling.NEAREST
    )
    on = np.asarray(where) > 0.5
    for channel in range(3):
        seen = Image.fromarray(np.ascontiguousarray(flat[..., channel])).transform(
            size, Image.Transform.PERSPECTIVE, way, Image.Resampling.BILINEAR
        )
        light[..., channel][on] = np.asarray(seen)[on]


@lru_cache(maxsize=4)
def _printed(key: str, per_mm: float) -> np.ndarray:
    page = pypdfium2.PdfDocument(print_mat(SHEETS[key]).pdf)[0].render(
        scale=per_mm * 25.4 / 72, grayscale=True
    )
    grey = page.to_numpy().reshape(page.height, page.width)
    return (INK + (PAPER - INK) * srgb.to_linear(grey)).astype(np.float32)


def _flat_mat(scene: Scene, per_mm: float) -> np.ndarray:
    sheet = SHEETS[scene.sheet]
    flat = np.repeat(_printed(scene.sheet, round(per_mm, 3))[..., None], 3, axis=2)
    if scene.chart:
        place = sheet.chart
        at = (
            place.x_mm + (place.width_mm - CHART_MM[0]) / 2,
            place.y_mm + (place.height_mm - CHART_MM[1]) / 2,
        )
        _paste(flat, _flat_chart(per_mm), at, per_mm)
    if scene.card:
        card = sheet.grey_card
        _paste(
            flat,
            np.full((int(84 * per_mm), int(52 * per_mm), 3), 0.18),
            (card.x_mm + 1, card.y_mm + 1),
            per_mm,
        )
    if scene.label_mm:
        _paste(
            flat,
            _flat_label(scene.label_mm, per_mm),
            (sheet.square.x_mm + 10, sheet.square.y_mm + 15),
            per_mm,
        )
    if scene.shadow:
        flat[: flat.shape[0] // 2, flat.shape[1] // 2 :] *= 1 - scene.shadow
    return flat


def _paste(flat: np.ndarray, thing: np.ndarray, at_mm: tuple[float, float], per_mm: float) -> None:
    left, top = round(at_mm[0] * per_mm), round(at_mm[1] * per_mm)
    flat[top : top + thing.shape[0], left : left + thing.shape[1]] = thing


def _flat_chart(per_mm: float) -> np.ndarray:
    width, height = (round(side * per_mm) for side in CHART_MM)
    card = np.full((height, width, 3), 0.012)
    cell_mm, gap = CHART_MM[0] / 6.2, 0.1
    left_mm, top_mm = (CHART_MM[0] - 6 * cell_mm) / 2, (CHART_MM[1] - 4 * cell_mm * 0.88) / 2
    # Patches a little flatter than square cells would be, so that four rows have room.
    row_mm = cell_mm * 0.88
    for place, colour in enumerate(chart_linear()):
        row, column = divmod(place, 6)
        x0, x1 = (left_mm + (column + gap / 2) * cell_mm, left_mm + (column + 1 - gap / 2) * cell_mm)
        y0, y1 = (top_mm + (row + gap / 2) * row_mm, top_mm + (row + 1 - gap / 2) * row_mm)
        card[round(y0 * per_mm) : round(y1 * per_mm), round(x0 * per_mm) : round(x1 * per_mm)] = colour
    return card


def _flat_label(side_mm: float, per_mm: float) -> np.ndarray:
    """A label with a tile's code, its quiet zone included in the side."""
    code = zxingcpp.create_barcode(LABEL, zxingcpp.BarcodeFormat.QRCode, ec_level="M")
    modules = np.asarray(code.to_image(scale=1, add_quiet_zones=True))
    side_px = round(side_mm * per_mm)
    grey = np.asarray(Image.fromarray(modules).resize((side_px, side_px), Image.Resampling.BOX)) / 255
    return np.repeat((INK + (PAPER - INK) * grey)[..., None], 3, axis=2)


def _flat_tile(scene: Scene, bands, per_mm: float) -> np.ndarray:
    width, height = (round(side * per_mm) for side in TILE_MM)
    tile = np.empty((height, width, 3), np.float32)
    top = bands[0][0].y_mm
    for box, colour in bands:
        tile[round((box.y_mm - top) * per_mm) : round((box.bottom_mm - top) * per_mm)] = colour
    if scene.glare:
        side = np.sqrt(scene.glare)
        tile[: int(height * side * 0.5), : int(width * side)] = 1.2
    return tile


def _slope(scene: Scene) -> np.ndarray:
    """Light over the picture, 1 where it is brightest, falling evenly towards `darker_deg`."""
    width, height = scene.size
    x, y = np.meshgrid(np.linspace(-0.5, 0.5, width), np.linspace(-0.5, 0.5, height) * height / width)
    along = x * np.cos(np.radians(scene.darker_deg)) + y * np.sin(np.radians(scene.darker_deg))
    along = (along - along.min()) / np.ptp(along)
    return (1 - scene.fall_off * along).astype(np.float32)


def middle_of(box: Box, plane: np.ndarray) -> np.ndarray:
    """Where a band's middle is seen [px]."""
    return through(plane, (box.x_mm + box.width_mm / 2, box.y_mm + box.height_mm / 2))
