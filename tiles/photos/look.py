"""What was found in a photo by looking at it once: codes, the photo mat, a colour chart, a grey card, the light.

Places in the photo are shares of the upright picture's sides, 0 to 1 from its upper left corner, so that they hold for
the original and for every rendition. Everything here goes into JSON and comes back the same.
"""

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import asdict, dataclass
from typing import Any, BinaryIO, Self

import numpy as np
import zxingcpp
from numpy.typing import ArrayLike, NDArray
from PIL import ExifTags, Image

from tiles.colour import chart24, srgb
from tiles.colour.chart import FoundChart, find_chart
from tiles.colour.correction import UNCORRECTED, Basis, Correction, Model
from tiles.colour.difference import ciede2000
from tiles.colour.greycard import from_grey_card
from tiles.colour.homography import through
from tiles.colour.lab import srgb_to_lab
from tiles.photos import accept, codes, renditions
from tiles.photos.codes import Region
from tiles.photos.light import Light, Scene, advice_on, light_of, pixels_of
from tiles.photos.mat import Camera, Matrix, Point, ReadCode, SeenMat, find_mat
from tiles.prints.stock import Box
from tiles.vocabulary import FiledBy

# Rises when what stands in the JSON changes, so that photos looked at before are looked at again.
VERSION = 1


@dataclass(frozen=True, slots=True)
class NotSeen:
    """What is not in the photo, or not well enough to be used, and what to do about it."""

    reason: str


@dataclass(frozen=True, slots=True)
class SeenCode:
    """A tile's code: the number without its check digit, the upright rectangle around it, and its own corners.

    `how` tells a code that holds our address from one that holds the bare number, as in `tiles.photos.codes`.
    """

    number: int
    region: Region
    corners: tuple[Point, ...]
    how: str


@dataclass(frozen=True, slots=True)
class SeenChart:
    """A 24-patch chart. `corners` are its outer corners, from the one beside dark skin, clockwise as printed.

    `patches_rgb8` are medians as photographed, `usable` the ones that are not clipped. `residual_before` is the mean
    ΔE00 as photographed; `residual_mean` and `residual_max` are what is left after the correction, on patches left out
    of its fit in turn. `model`, `matrix` and `tone` are the correction: see `tiles.colour.correction`.
    """

    corners: tuple[Point, ...]
    on_mat: bool
    patches_rgb8: tuple[tuple[float, ...], ...]
    usable: tuple[bool, ...]
    residual_before: float
    residual_mean: float
    residual_max: float
    n: int
    model: str
    matrix: Matrix
    tone: Matrix | None

    def correction(self) -> Correction:
        """The way from the photo's colours to true ones."""
        return Correction(
            Basis.CHART,
            Model(self.model),
            np.array(self.matrix),
            self.residual_mean,
            self.residual_max,
            self.n,
            None if self.tone is None else np.array(self.tone),
        )


@dataclass(frozen=True, slots=True)
class SeenGreyCard:
    """A grey card, known by its place on the mat. Residuals [ΔE00] are how far its own pixels stray from grey."""

    corners: tuple[Point, ...]
    rgb8: tuple[float, ...]
    residual_mean: float
    residual_max: float
    n: int
    matrix: Matrix

    def correction(self) -> Correction:
        """White balance and exposure by the card; bent colours it cannot tell."""
        matrix = np.array(self.matrix)
        return Correction(Basis.GREY_CARD, Model.GAINS, matrix, self.residual_mean, self.residual_max, self.n)


@dataclass(frozen=True, slots=True)
class Look:
    """All that one look at a photo found. `width` and `height` are of the upright original [px]."""

    width: int
    height: int
    codes: tuple[SeenCode, ...]
    mat: SeenMat | NotSeen
    chart: SeenChart | NotSeen
    grey_card: SeenGreyCard | NotSeen
    light: Light
    advice: tuple[str, ...]

    @property
    def correction(self) -> Correction:
        """By the best there is in view: the chart, else the grey card, else none."""
        for found in (self.chart, self.grey_card):
            if not isinstance(found, NotSeen):
                return found.correction()
        return UNCORRECTED

    def as_json(self) -> dict[str, Any]:
        """Plain dicts and lists; what may be missing says so under ``found``."""
        return {
            "version": VERSION,
            "width": self.width,
            "height": self.height,
            "codes": [_plain(code) for code in self.codes],
            "mat": _found_or_not(self.mat),
            "chart": _found_or_not(self.chart),
            "grey_card": _found_or_not(self.grey_card),
            "light": _plain(self.light),
            "advice": list(self.advice),
        }

    @classmethod
    def from_json(cls, kept: dict[str, Any]) -> Self:
        """The look that `as_json` wrote.

        Raises
        ------
        ValueError : it was written by another version
        """
        if kept.get("version") != VERSION:
            raise ValueError(f"this look is of version {kept.get('version')}, not {VERSION}: look again")
        return cls(
            width=kept["width"],
            height=kept["height"],
            codes=tuple(
                SeenCode(code["number"], Region(**code["region"]), _tuples(code["corners"]), code["how"])
                for code in kept["codes"]
            ),
            mat=_built(SeenMat, kept["mat"]),
            chart=_built(SeenChart, kept["chart"]),
            grey_card=_built(SeenGreyCard, kept["grey_card"]),
            light=Light(**_tuples(kept["light"])),
            advice=tuple(kept["advice"]),
        )


def _found_or_not(found: Any) -> dict[str, Any]:
    return {"found": not isinstance(found, NotSeen), **_plain(found)}


def _built(kind: type[Any], kept: dict[str, Any]) -> Any:
    """What `_found_or_not` wrote, as it was."""
    values = {name: _tuples(value) for name, value in kept.items() if name != "found"}
    return kind(**values) if kept["found"] else NotSeen(**values)


def _plain(record: Any) -> dict[str, Any]:
    return {name: _lists(value) for name, value in asdict(record).items()}


def _lists(value: Any) -> Any:
    """Tuples as lists, all the way down: what JSON gives back."""
    if isinstance(value, dict):
        return {name: _lists(inner) for name, inner in value.items()}
    return [_lists(inner) for inner in value] if isinstance(value, (tuple, list)) else value


def _tuples(value: Any) -> Any:
    """Lists as tuples, all the way down."""
    if isinstance(value, dict):
        return {name: _tuples(inner) for name, inner in value.items()}
    return tuple(_tuples(inner) for inner in value) if isinstance(value, (tuple, list)) else value


# The size at which colours are looked at: JPEG decoders reach it cheaply, and a chart's patch still has 40 pixels
# across where an A4 mat fills the photo.
COLOURS_PX = 2000
# Reading other kinds of code takes a picture at least so large [px].
OTHERS_PX = 2000


def look_at(file: BinaryIO, *, printed_scale: float = 1.0) -> Look:
    """Look once at an accepted photo, for all that can be found in it; stores nothing.

    `printed_scale` is how long a printed millimetre of the mat came out, as measured on paper; 1 when not known.

    Decodes the picture twice, small in colour and larger in grey for codes, which JPEG does quicker than once in full;
    in this order, so that one large picture at most is held.
    """
    width, height = _upright_size(file)
    picture = renditions.upright(file, COLOURS_PX)
    grey = np.asarray(renditions.upright_grey(file, _code_side_px(max(width, height))))
    read = read_codes(grey)
    camera = Camera(grey.shape[1], grey.shape[0], width, _focal_35_mm(file))
    mat = find_mat(read, camera, printed_scale)
    colours = np.asarray(picture)
    light = light_of(Scene(colours, grey, width / grey.shape[1]), read, mat)
    chart = _chart(picture, mat)
    return Look(
        width=width,
        height=height,
        codes=_tile_codes(read, grey.shape[1], grey.shape[0]),
        mat=mat or NotSeen("No code of the photo mat was read."),
        chart=chart,
        grey_card=_grey_card(colours, mat, light),
        light=light,
        advice=(*advice_on(light, mat), *_chart_advice(chart)),
    )


def _upright_size(file: BinaryIO) -> tuple[int, int]:
    photo = accept.open_photo(file)
    width, height = photo.size
    return (height, width) if accept.orientation_of(photo) in accept.QUARTER_TURNS else (width, height)


def _focal_35_mm(file: BinaryIO) -> float | None:
    """What the lens would be on 36 × 24 mm film, if the camera noted it (Exif 2.32, tag 0xA405)."""
    with suppress(Exception):  # damaged notes raise nearly anything
        notes = accept.open_photo(file).getexif().get_ifd(ExifTags.IFD.Exif)
        noted = float(notes.get(ExifTags.Base.FocalLengthIn35mmFilm) or 0)
        return noted if 8 <= noted <= 400 else None
    return None


def _code_side_px(longest_side_px: int) -> int:
    """The whole side, or the first of its halves within the limit of `codes`: a decoder's own scales."""
    while longest_side_px > codes.LONGEST_SIDE_PX:
        longest_side_px = (longest_side_px + 1) // 2
    return longest_side_px


def read_codes(grey: NDArray[np.uint8]) -> list[ReadCode]:
    """All codes in an upright grey picture, each content once; the larger picture's corners before the smaller's.

    Half the size averages noise away; a quarter only in need, and kinds of code other than ours only after that.
    """
    picture = Image.fromarray(grey)
    found = {code.content: code for code in (*_read_at(picture, 2), *_read_at(picture, 1))}
    if not found:
        found = {code.content: code for code in _read_at(picture, 4)}
    if not any(codes.tile_number_in(content) is not None for content in found):
        reduction = 2 if max(grey.shape) >= 2 * OTHERS_PX else 1
        found |= {code.content: code for code in _read_at(picture, reduction, codes.OTHER_CODES)}
    return list(found.values())


def _read_at(
    picture: Image.Image, reduction: int, kinds: zxingcpp.BarcodeFormats = codes.QR_CODES
) -> list[ReadCode]:
    """Codes with their corners in pixels of the picture, read after it is made smaller."""
    looked_at = picture.reduce(reduction) if reduction > 1 else picture
    read = zxingcpp.read_barcodes(np.asarray(looked_at), kinds, text_mode=zxingcpp.TextMode.Plain)
    return [ReadCode(barcode.text, _corners(barcode.position, reduction)) for barcode in read]


def _corners(position: zxingcpp.Position, reduction: int) -> tuple[Point, Point, Point, Point]:
    """Clockwise from the code's own upper left."""
    upper_left, upper_right, lower_right, lower_left = (
        (float(corner.x * reduction), float(corner.y * reduction))
        for corner in (position.top_left, position.top_right, position.bottom_right, position.bottom_left)
    )
    return upper_left, upper_right, lower_right, lower_left


def _tile_codes(read: Iterable[ReadCode], width: int, height: int) -> tuple[SeenCode, ...]:
    """Our codes, each tile once, left to right."""
    found = {}
    for code in read:
        number = codes.tile_number_in(code.content)
        if number is not None:
            corners = np.array(code.corners_px) / (width, height)
            how = FiledBy.CODE if "/" in code.content else FiledBy.NUMBER
            found[number] = SeenCode(number, _region(corners), _points(corners), how.value)
    return tuple(sorted(found.values(), key=lambda code: code.region.x))


def _region(corners: ArrayLike) -> Region:
    places = np.asarray(corners)
    (left, top), (right, bottom) = places.min(axis=0).tolist(), places.max(axis=0).tolist()
    return Region(left, top, right - left, bottom - top)


def _chart(picture: Image.Image, mat: SeenMat | None) -> SeenChart | NotSeen:
    """The chart in its place on the mat, or else anywhere in the photo."""
    if mat is not None:
        box = _around(picture, mat.box_corners(mat.layout.chart))
        place = picture.crop(box) if box else None
        found = find_chart(place) if place and not _is_bare(place) else None
        if box and isinstance(found, FoundChart):
            return _seen_chart(found, picture, box[:2], on_mat=True)
    found = find_chart(picture)
    if isinstance(found, FoundChart):
        return _seen_chart(found, picture, (0, 0), on_mat=False)
    return NotSeen(found.reason)


def _is_bare(place: Image.Image) -> bool:
    """Whether nothing but paper lies there: no more range than uneven light gives; saves looking for a chart."""
    dark, light = np.percentile(np.asarray(place.convert("L")), (5, 95))
    return bool(dark > 0.7 * light)


def _around(picture: Image.Image, corners: ArrayLike) -> tuple[int, int, int, int] | None:
    """The pixels within an upright rectangle around places [shares], a little wider; None when out of view."""
    places = np.asarray(corners) * picture.size
    spare = 0.03 * (places.max(axis=0) - places.min(axis=0))
    left, top = np.maximum(places.min(axis=0) - spare, 0).astype(int).tolist()
    right, bottom = np.minimum(places.max(axis=0) + spare, picture.size).astype(int).tolist()
    return (left, top, right, bottom) if right - left > 60 and bottom - top > 40 else None


def _seen_chart(
    found: FoundChart, picture: Image.Image, origin: tuple[int, int], *, on_mat: bool
) -> SeenChart:
    edge = [(0, 0), (chart24.COLUMNS, 0), (chart24.COLUMNS, chart24.ROWS), (0, chart24.ROWS)]
    corners = (through(found.homography, edge) + origin + 0.5) / picture.size
    correction = found.correction
    before = ciede2000(srgb_to_lab(found.patches_rgb8[found.usable]), chart24.LAB_D65[found.usable])
    return SeenChart(
        corners=_points(corners),
        on_mat=on_mat,
        patches_rgb8=_rows(found.patches_rgb8),
        usable=tuple(bool(usable) for usable in found.usable),
        residual_before=float(before.mean()),
        residual_mean=float(correction.residual_mean or 0.0),
        residual_max=float(correction.residual_max or 0.0),
        n=correction.n,
        model=correction.model.value,
        matrix=_rows(correction.matrix),
        tone=None if correction.tone is None else _rows(correction.tone),
    )


def _chart_advice(chart: SeenChart | NotSeen) -> list[str]:
    """Only the greys are asked about: a strong colour of the chart may lie beyond what sRGB holds in any light."""
    if isinstance(chart, NotSeen):
        return []
    light, dark = chart.usable[WHITE : WHITE + 3], chart.usable[BLACK - 2 : BLACK + 1]
    said = []
    if not all(light):
        said.append("The chart’s light greys are blown out: expose less.")
    if not all(dark):
        said.append("The chart’s dark greys are black: give it more light.")
    return said


# The greys of the chart, from white to black.
WHITE, BLACK = 18, 23

# The middle of the card's place that is looked at: cards are laid down by hand.
CARD_PART_MM = (26.0, 44.0)
# A grey card sends back 18 % where paper sends back 80 to 90 %: as a share of the paper's light, with room for both.
CARD_OF_PAPER = (0.1, 0.45)
# What its pixels may stray [of 255, median absolute deviation], and its balance of colours from the paper's, as shares.
CARD_STRAYS, CARD_TINT = 6.0, 0.25


def _grey_card(colours: NDArray[np.uint8], mat: SeenMat | None, light: Light) -> SeenGreyCard | NotSeen:
    """A grey card in its place on the mat; a grey thing elsewhere could be anything."""
    if mat is None:
        return NotSeen("A grey card is known by its place on the photo mat, and the mat is not in view.")
    part = _middle_of(mat.layout.grey_card)
    corners = mat.box_corners(part)
    if corners.min() < 0 or corners.max() > 1:
        return NotSeen("The grey card’s place on the mat is not in view.")
    if light.paper is None:
        return NotSeen("Without the light on the paper a grey card cannot be told from other things.")
    pixels = pixels_of(colours, mat, part)
    middle = np.median(pixels, axis=0)
    if not _is_card(pixels, np.array(light.paper) * light.at(corners.mean(axis=0))):
        return NotSeen("No grey card lies in its place on the mat.")
    try:
        correction = from_grey_card(pixels)
    except ValueError as trouble:
        return NotSeen(str(trouble))
    return SeenGreyCard(
        corners=_points(corners),
        rgb8=tuple(float(value) for value in middle),
        residual_mean=float(correction.residual_mean or 0.0),
        residual_max=float(correction.residual_max or 0.0),
        n=correction.n,
        matrix=_rows(correction.matrix),
    )


def _middle_of(place: Box) -> Box:
    width, height = CARD_PART_MM
    x_mm = place.x_mm + (place.width_mm - width) / 2
    return Box(x_mm, place.y_mm + (place.height_mm - height) / 2, width, height)


def _is_card(pixels: NDArray[np.uint8], paper: ArrayLike) -> bool:
    """Whether pixels are even, as grey as the paper there is white, and as bright as a grey card would be."""
    middle = np.median(pixels, axis=0)
    strays = np.median(np.abs(pixels - middle), axis=0).max()
    share = srgb.to_linear(middle) / np.maximum(paper, 1e-6)
    tint = float(share.max() / max(share.mean(), 1e-6) - 1)
    return bool(
        strays <= CARD_STRAYS and CARD_OF_PAPER[0] <= share.mean() <= CARD_OF_PAPER[1] and tint <= CARD_TINT
    )


def _points(places: ArrayLike) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in np.asarray(places))


def _rows(values: ArrayLike) -> Matrix:
    return tuple(tuple(float(value) for value in row) for row in np.asarray(values))
