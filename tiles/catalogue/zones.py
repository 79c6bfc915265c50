"""Zones on a tile's faces: where they may lie, and a first layout to start from."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from tiles.vocabulary import Face, ZoneKind

# A dry foot below the glaze, so that a run does not reach the shelf at once (common practice, no source).
FOOT_MM = 15.0
EDGE_MM = 5.0
TEXTURE_SHARE = 0.28
# Zones that share less than this are side by side: sizes are written to a tenth of a millimetre.
TOUCH_MM = 0.05


@dataclass(frozen=True, slots=True)
class ZoneBox:
    """A zone as a rectangle in millimetres, its corner from the face's upper left."""

    name: str
    face: str
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    kind: str = ZoneKind.BAND.value
    textured: bool = False


def overlap_mm2(one: ZoneBox, other: ZoneBox) -> float:
    """The area two zones share; none where they lie on different faces.

    >>> overlap_mm2(ZoneBox("a", "front", 0, 0, 10, 10), ZoneBox("b", "front", 8, 0, 10, 10))
    20.0
    """
    if one.face != other.face:
        return 0.0
    across, down = _shared_mm(one, other)
    if across < TOUCH_MM or down < TOUCH_MM:
        return 0.0
    return float(across * down)


def _shared_mm(one: ZoneBox, other: ZoneBox) -> tuple[float, float]:
    """How far two rectangles reach into one another, across and down; negative where they are apart."""
    across = min(one.x_mm + one.width_mm, other.x_mm + other.width_mm) - max(one.x_mm, other.x_mm)
    down = min(one.y_mm + one.height_mm, other.y_mm + other.height_mm) - max(one.y_mm, other.y_mm)
    return across, down


@dataclass(frozen=True, slots=True)
class Trouble:
    """What is wrong with a layout: at which of its zones and which of that zone's figures, and what to do, in words."""

    place: int
    field: str
    words: str


def troubles(zones: Sequence[ZoneBox], width_mm: float, height_mm: float) -> list[Trouble]:
    """What is wrong with a layout, zone by zone as far as faces and names go; nothing where it is right."""
    found = [
        Trouble(
            place,
            "width_mm" if zone.x_mm + zone.width_mm > width_mm else "height_mm",
            f"{zone.name} reaches past the {zone.face}: it ends at {zone.x_mm + zone.width_mm:g} × "
            f"{zone.y_mm + zone.height_mm:g} mm on a face of {width_mm:g} × {height_mm:g} mm.",
        )
        for place, zone in enumerate(zones)
        if zone.x_mm + zone.width_mm > width_mm or zone.y_mm + zone.height_mm > height_mm
    ]
    names = [zone.name.casefold() for zone in zones]
    found += [
        Trouble(place, "name", f"Two zones are called {name}. Give one another name.")
        for place, name in enumerate(names)
        if names[:place].count(name) == 1
    ]
    found += [
        Trouble(
            later,
            _axis_of_overlap(zones[earlier], zones[later]),
            f"{zones[earlier].name} and {zones[later].name} overlap on the {zones[later].face}. Move one of them.",
        )
        for earlier, later in combinations(range(len(zones)), 2)
        if overlap_mm2(zones[earlier], zones[later]) > 0
    ]
    return found


def _axis_of_overlap(one: ZoneBox, other: ZoneBox) -> str:
    """Where the second of two zones that overlap begins, across or down, whichever takes the smaller move."""
    across, down = _shared_mm(one, other)
    return "x_mm" if across <= down else "y_mm"


def three_bands(width_mm: float, height_mm: float) -> list[ZoneBox]:
    """The layout most testers start from: three bands of rising coats, a texture patch below, the whole back.

    >>> [zone.name for zone in three_bands(70, 110)]
    ['band 1', 'band 2', 'band 3', 'texture', 'back']
    """
    across = width_mm - 2 * EDGE_MM
    down = height_mm - EDGE_MM - FOOT_MM
    band, texture = round(across / 3, 1), round(down * TEXTURE_SHARE, 1)
    bands = [
        ZoneBox(
            f"band {n + 1}",
            Face.FRONT.value,
            round(EDGE_MM + n * band, 1),
            EDGE_MM,
            band,
            round(down - texture, 1),
        )
        for n in range(3)
    ]
    patch = ZoneBox(
        "texture",
        Face.FRONT.value,
        EDGE_MM,
        round(EDGE_MM + down - texture, 1),
        round(3 * band, 1),
        texture,
        ZoneKind.TEXTURE.value,
        textured=True,
    )
    back = ZoneBox("back", Face.BACK.value, EDGE_MM, EDGE_MM, across, down, ZoneKind.BACK.value)
    return [*bands, patch, back]
