"""The drawings of a tile: its faces to scale with their coats, and each zone's stack as if cut through.

Plain figures that a template writes as SVG; `static/js/section.js` draws the same in the browser as one types, and
`tests/tiles/recording/test_live_drawing.py` holds the two together. A drawing shows what was put on, thickness by
coats and not to scale; it does not foretell a fired colour.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from tiles.recording.grid import Amount
from tiles.vocabulary import Face, FormShape, Method

# A column of the section, in units of its own: as wide as it likes to be stretched, clay below, layers above.
COLUMN_WIDTH = 100
COLUMN_HEIGHT = 96
CLAY_HEIGHT = 30
LAYERS_HEIGHT = 58
TALLEST_STEP = 9
RIDGES = 7
RIDGE_HEIGHT = 8
# How much of the relief below is left on a layer that lies over texture: glaze gathers in the hollows.
LEVELLING = 0.55
# A dip is drawn one step for each second within these, since nothing says how thick it is.
DIP_STEPS = (1, 6)
# Two coats hide what one leaves showing by half.
SHARE_OF_A_COAT = 0.5
# Grains of a speckled body: left, down and radius, in hundredths of what is drawn.
SPECKS = (
    (7, 22, 1.5),
    (16, 68, 1.1),
    (25, 40, 1.7),
    (36, 82, 1.2),
    (43, 16, 1.0),
    (54, 55, 1.6),
    (63, 30, 1.1),
    (71, 76, 1.7),
    (80, 48, 1.0),
    (88, 20, 1.5),
    (94, 85, 1.2),
)
# Strokes between the coats of a layer, told apart by how it went on: dash pattern, none for a dip's single skin.
STROKES = {
    Method.BRUSH.value: "none",
    Method.POUR.value: "14 2",
    Method.SPRAY.value: "1 2",
    Method.TRAIL.value: "5 5",
    Method.SPONGE.value: "3 3",
}
GAP_MM = 12
SMALLEST_WORDS_MM = 3.0
CAPTION_MM = 9


@dataclass(frozen=True, slots=True)
class ZoneShape:
    """Where a zone sits on its face, from the face's upper left [mm]."""

    name: str
    face: str
    textured: bool
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class Outline:
    """A tile form as it is drawn [mm]."""

    shape: str
    width_mm: float
    height_mm: float
    zones: tuple[ZoneShape, ...]


@dataclass(frozen=True, slots=True)
class Clay:
    """The body of a tile as it is drawn."""

    name: str
    swatch: str
    speckled: bool


@dataclass(frozen=True, slots=True)
class LaidLayer:
    """One layer on one zone as it is drawn."""

    glaze: str
    swatch: str
    method: str
    amount: Amount


Stacks = Mapping[str, Sequence[LaidLayer]]


@dataclass(frozen=True, slots=True)
class AmountLine:
    """An amount written on a zone of the face [mm]."""

    y: float
    words: str


@dataclass(frozen=True, slots=True)
class Patch:
    """A zone on a drawn face [mm]; `fill` is empty on bare clay."""

    name: str
    x: float
    y: float
    width: float
    height: float
    fill: str
    on_dark: bool
    ridges: str
    size: float
    lines: tuple[AmountLine, ...]

    @property
    def middle(self) -> float:
        return round(self.x + self.width / 2, 2)


@dataclass(frozen=True, slots=True)
class Speck:
    """A grain in the clay."""

    x: float
    y: float
    r: float


@dataclass(frozen=True, slots=True)
class DrawnFace:
    """One face of the tile. `left` is where it starts in the drawing of all faces [mm]."""

    name: str
    left: float
    radius: float
    specks: tuple[Speck, ...]
    patches: tuple[Patch, ...]
    number: str


@dataclass(frozen=True, slots=True)
class Faces:
    """The faces of a tile side by side, to one scale [mm]."""

    clay: Clay
    on_dark: bool
    width_mm: float
    height_mm: float
    faces: tuple[DrawnFace, ...]

    @property
    def view_box(self) -> str:
        width = sum(self.width_mm for _ in self.faces) + GAP_MM * (len(self.faces) - 1)
        return f"-1 -1 {figure(width + 2)} {figure(self.height_mm + CAPTION_MM + 1)}"

    @property
    def half_width(self) -> float:
        return self.width_mm / 2

    @property
    def number_y(self) -> float:
        """Where the incised number stands: at the foot of the back."""
        return self.height_mm - 4

    @property
    def caption_y(self) -> float:
        return self.height_mm + CAPTION_MM - 2


@dataclass(frozen=True, slots=True)
class Slab:
    """One layer cut through: its outline and the strokes between its coats, as SVG paths."""

    path: str
    fill: str
    edge: str
    strokes: str
    dash: str
    words: str


@dataclass(frozen=True, slots=True)
class Column:
    """One zone cut through, bottom to top."""

    name: str
    textured: bool
    clay_path: str
    slabs: tuple[Slab, ...]
    amounts: tuple[str, ...]
    words: str


@dataclass(frozen=True, slots=True)
class LegendEntry:
    """A colour of the drawing and what it stands for."""

    swatch: str
    name: str


@dataclass(frozen=True, slots=True)
class Section:
    """All zones cut through, drawn to one scale. The legend lists the glazes, those nearer the top first."""

    clay: Clay
    clay_edge: str
    specks: tuple[Speck, ...]
    columns: tuple[Column, ...]
    legend: tuple[LegendEntry, ...]
    width: int = COLUMN_WIDTH
    height: int = COLUMN_HEIGHT


def figure(value: float) -> str:
    """A coordinate as it is written: at most two decimals.

    >>> figure(12.0), figure(3.456)
    ('12', '3.46')
    """
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _channels(swatch: str) -> tuple[int, int, int]:
    return int(swatch[1:3], 16), int(swatch[3:5], 16), int(swatch[5:7], 16)


def mixed(under: str, over: str, share: float) -> str:
    """`over` laid on `under`, hiding that share of it.

    >>> mixed("#000000", "#ffffff", 0.5)
    '#808080'
    """
    pairs = zip(_channels(under), _channels(over), strict=True)
    return "#" + "".join(f"{int(low + (high - low) * share + 0.5):02x}" for low, high in pairs)


def is_dark(swatch: str) -> bool:
    """Whether white words read better on it: relative luminance below where both contrasts are equal (WCAG 2.2)."""
    red, green, blue = (_linear(channel / 255) for channel in _channels(swatch))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue < 0.179


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4


def steps(amount: Amount) -> float:
    """How many coats thick a layer is drawn."""
    if amount.dip_s is None:
        return float(amount.coats or 0)
    return float(max(Decimal(DIP_STEPS[0]), min(Decimal(DIP_STEPS[1]), amount.dip_s)))


def seen_from_above(clay: str, layers: Sequence[LaidLayer]) -> str:
    """The colour a zone is drawn in: each layer hides what lies under it the more, the thicker it is."""
    colour = clay
    for layer in layers:
        colour = mixed(colour, layer.swatch, 1 - SHARE_OF_A_COAT ** steps(layer.amount))
    return colour


def _ridges_from_above(zone: ZoneShape) -> str:
    count = max(2, round(zone.width_mm / 3))
    between = zone.width_mm / count
    xs = [zone.x_mm + between * (step + 0.5) for step in range(count)]
    return "".join(f"M{figure(x)} {figure(zone.y_mm + 1)}v{figure(zone.height_mm - 2)}" for x in xs)


def _lines_at(zone: ZoneShape, words: Sequence[str]) -> tuple[float, tuple[AmountLine, ...]]:
    """Lines of words in the middle of a zone, as large as fits, and that size [mm]."""
    longest = max(map(len, words))
    room = (8.0, zone.width_mm / (0.62 * longest + 0.4), zone.height_mm / (1.25 * len(words) + 0.3))
    size = round(min(room), 2)
    first = zone.y_mm + zone.height_mm / 2 - size * 1.25 * (len(words) - 1) / 2 + size * 0.36
    return size, tuple(
        AmountLine(round(first + size * 1.25 * line, 2), text) for line, text in enumerate(words)
    )


def _amount_lines(zone: ZoneShape, layers: Sequence[LaidLayer]) -> tuple[float, tuple[AmountLine, ...]]:
    """The amounts on a zone, top layer first, as they lie; only how many layers where they would be too small."""
    if not layers:
        return 0, ()
    size, lines = _lines_at(zone, [layer.amount.words for layer in reversed(layers)])
    return (size, lines) if size >= SMALLEST_WORDS_MM else _lines_at(zone, [f"{len(layers)} layers"])


def _patch(zone: ZoneShape, clay: Clay, layers: Sequence[LaidLayer]) -> Patch:
    colour = seen_from_above(clay.swatch, layers)
    size, lines = _amount_lines(zone, layers)
    return Patch(
        zone.name,
        zone.x_mm,
        zone.y_mm,
        zone.width_mm,
        zone.height_mm,
        colour if layers else "",
        is_dark(colour),
        _ridges_from_above(zone) if zone.textured else "",
        size,
        lines,
    )


def _specks(clay: Clay, width: float, height: float, radius: float) -> tuple[Speck, ...]:
    if not clay.speckled:
        return ()
    return tuple(
        Speck(round(x * width / 100, 2), round(y * height / 100, 2), round(r * radius, 2))
        for x, y, r in SPECKS
    )


def draw_faces(outline: Outline, clay: Clay, stacks: Stacks, number: str = "") -> Faces:
    """The faces that have zones, front first; a tile's number stands on its back, as incised.

    Parameters
    ----------
    stacks : for each zone by name its layers, bottom to top; a zone left out is bare
    """
    used = [face.value for face in Face if any(zone.face == face.value for zone in outline.zones)]
    radius = outline.width_mm / 2 if outline.shape == FormShape.BOWL else 2.0
    faces = [
        DrawnFace(
            name,
            place * (outline.width_mm + GAP_MM),
            radius,
            _specks(clay, outline.width_mm, outline.height_mm, 0.7),
            tuple(
                _patch(zone, clay, stacks.get(zone.name, ())) for zone in outline.zones if zone.face == name
            ),
            number if name == Face.BACK else "",
        )
        for place, name in enumerate(used or [Face.FRONT.value])
    ]
    return Faces(clay, is_dark(clay.swatch), outline.width_mm, outline.height_mm, tuple(faces))


def _level(y: float, relief: float) -> list[tuple[float, float]]:
    """The upper side of clay or of a layer, left to right: flat, or over ridges of that height."""
    if not relief:
        return [(0, y), (COLUMN_WIDTH, y)]
    half = COLUMN_WIDTH / (2 * RIDGES)
    return [(half * step, y - (relief if step % 2 else 0)) for step in range(2 * RIDGES + 1)]


def _line(points: Sequence[tuple[float, float]], start: str = "M") -> str:
    return start + "L".join(f"{figure(x)} {figure(y)}" for x, y in points)


def _between(low: Sequence[tuple[float, float]], high: Sequence[tuple[float, float]]) -> str:
    return f"{_line(high)}{_line([*reversed(low)], 'L')}Z"


def _slab(layer: LaidLayer, low: tuple[float, float], high: tuple[float, float]) -> Slab:
    """A layer between two levels, each a height and the relief that is left there."""
    coats = layer.amount.coats or 1
    lines = [
        _line(_level(low[0] + (high[0] - low[0]) * coat / coats, low[1] + (high[1] - low[1]) * coat / coats))
        for coat in range(1, coats)
    ]
    return Slab(
        _between(_level(*low), _level(*high)),
        layer.swatch,
        mixed(layer.swatch, "#000000", 0.35),
        "".join(lines),
        STROKES.get(layer.method, "none"),
        f"{layer.glaze} {layer.amount.words}",
    )


def _column(zone: ZoneShape, layers: Sequence[LaidLayer], step: float) -> Column:
    floor = (float(COLUMN_HEIGHT), 0.0)
    level = (float(COLUMN_HEIGHT - CLAY_HEIGHT), float(RIDGE_HEIGHT) if zone.textured else 0.0)
    clay_path = _between(_level(*floor), _level(*level))
    slabs = []
    for layer in layers:
        higher = (level[0] - step * steps(layer.amount), level[1] * LEVELLING)
        slabs.append(_slab(layer, level, higher))
        level = higher
    amounts = tuple(layer.amount.words for layer in reversed(layers))
    words = " + ".join(slab.words for slab in slabs) or "bare clay"
    return Column(zone.name, zone.textured, clay_path, tuple(slabs), amounts, words)


def step_height(stacks: Stacks) -> float:
    """How high one coat is drawn, so that the thickest stack still fits."""
    thickest = max((sum(steps(layer.amount) for layer in layers) for layers in stacks.values()), default=0)
    return min(TALLEST_STEP, LAYERS_HEIGHT / thickest) if thickest else TALLEST_STEP


def _legend(zones: Sequence[ZoneShape], stacks: Stacks) -> tuple[LegendEntry, ...]:
    laid = [layer for zone in zones for layer in reversed(stacks.get(zone.name, ()))]
    return tuple(dict.fromkeys(LegendEntry(layer.swatch, layer.glaze) for layer in laid))


def draw_section(zones: Sequence[ZoneShape], clay: Clay, stacks: Stacks) -> Section:
    """Each zone's stack in section, clay at the bottom, thickness by coats.

    >>> zone = ZoneShape("band 1", "front", False, 0, 0, 20, 60)
    >>> layer = LaidLayer("Harbour", "#3a5f7d", "brush", Amount(coats=2))
    >>> draw_section([zone], Clay("Dune", "#e9e2d3", True), {"band 1": [layer]}).columns[0].words
    'Harbour ×2'
    """
    step = step_height({zone.name: stacks.get(zone.name, ()) for zone in zones})
    columns = tuple(_column(zone, stacks.get(zone.name, ()), step) for zone in zones)
    specks = _specks(clay, COLUMN_WIDTH, CLAY_HEIGHT, 0.8)
    lowered = tuple(
        Speck(speck.x, round(speck.y * 0.7 + COLUMN_HEIGHT - CLAY_HEIGHT * 0.8, 2), speck.r)
        for speck in specks
    )
    return Section(clay, mixed(clay.swatch, "#000000", 0.35), lowered, columns, _legend(zones, stacks))
