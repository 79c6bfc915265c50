"""What a drawn tile is made of: sizes in mm, colours as sRGB 0..255, amounts as fractions 0..1."""

from dataclasses import dataclass
from typing import Literal

Rgb = tuple[int, int, int]
SurfaceName = Literal["glossy", "semi", "satin", "matt", "dry"]
Relief = Literal["", "lines", "comb", "stamp", "net"]


@dataclass(frozen=True, slots=True)
class FlawPicture:
    """A flaw by its word in the trade and how much of it there is, 0 (none) to 1 (severe)."""

    kind: str
    amount: float


@dataclass(frozen=True, slots=True)
class CoatPicture:
    """One layer of a zone as it looks after firing.

    coats : full coats, may be fractional; rgb : where it is thick; thin_rgb : where it is thin;
    break_rgb : on edges it runs away from; float_rgb : rivulets and mottling on top;
    opacity : 0 clear as water, 1 hides the body in about two coats; mottle : 0 even, 1 restless;
    speckle : 0 none, 1 strewn with iron spots of its own.
    """

    rgb: Rgb
    thin_rgb: Rgb
    break_rgb: Rgb
    coats: float
    opacity: float = 0.8
    float_rgb: Rgb | None = None
    mottle: float = 0.2
    speckle: float = 0.0
    kind: str = "glaze"


@dataclass(frozen=True, slots=True)
class ZonePicture:
    """One zone of a tile's face: where it sits [mm from the upper left corner] and how it came out."""

    x_mm: float
    y_mm: float
    w_mm: float
    h_mm: float
    layers: tuple[CoatPicture, ...] = ()
    relief: Relief = ""
    surface: SurfaceName = "glossy"
    run_mm: float = 0.0
    pooling: float = 0.0
    breaking: float = 0.0
    movement: float = 0.0
    bleed: float = 0.0
    flaws: tuple[FlawPicture, ...] = ()
    method: str = "brush"


@dataclass(frozen=True, slots=True)
class TilePicture:
    """One face of a tile, ready to draw; the same picture is drawn the same.

    seed : the face itself, its clay and its brush marks; shot : how it lay before the camera;
    foot_mm : height of a foot lying flat below an upright face (an L tile), 0 for a flat tile;
    hole_mm : diameter of the hanging hole, 0 for none; flash_rgb : blush of bare clay beside glaze.
    """

    width_mm: float
    height_mm: float
    body_rgb: Rgb
    zones: tuple[ZonePicture, ...] = ()
    seed: int = 0
    shot: int = 0
    number: str = ""
    hole_mm: float = 0.0
    foot_mm: float = 0.0
    speckled: bool = False
    grog: float = 0.3
    flash_rgb: Rgb | None = None
