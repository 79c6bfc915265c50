"""What the demo studio's shelves hold, as the fixtures tell it; cones are ranks in the published series."""

from dataclasses import dataclass
from typing import Any

from firings.cones import series
from studio.demo.picture import Rgb


@dataclass(frozen=True, slots=True)
class ConeRange:
    """From one cone to another, as ranks in the published series."""

    low: int
    high: int

    @property
    def numbers(self) -> tuple[float, float]:
        """The two ends on the scale where whole cones are one apart."""
        return float(series.of_order(self.low).number), float(series.of_order(self.high).number)


@dataclass(frozen=True, slots=True)
class Look:
    """A glaze's colours after firing: thick, thin, on edges, and what floats on top."""

    full: Rgb
    thin: Rgb
    edge: Rgb
    drift: Rgb | None


@dataclass(frozen=True, slots=True)
class BatchDay:
    """What was measured on a lot one day, by the same cup."""

    days_ago: int
    sg: float | None = None
    flow_s: float | None = None
    temp_c: float | None = None
    water_ml: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Batch:
    """A lot on the shelf; flow time in seconds through an ISO cup of 6 mm, where it was taken."""

    lot: str
    days_ago: int
    sg: float
    flow_s: float | None
    readings: tuple[BatchDay, ...]


@dataclass(frozen=True, slots=True)
class Recipe:
    """A glaze: what its label says, and how it behaves (tendencies 0..1)."""

    name: str
    kind: str
    maker: str
    cones: ConeRange
    surface: str
    opacity: str
    tags: str
    swatch: str
    known_runner: bool
    coats: tuple[int, int]
    drying_min: int
    thinning: str
    cautions: str
    note: str
    fluid: float
    hiding: float
    breaks: float
    craze: float
    crawl: float
    pinhole: float
    mottle: float
    oxidation: Look
    reduction: Look
    batches: tuple[Batch, ...]

    def look(self, atmosphere: str) -> Look:
        """Its colours in this atmosphere; neutral looks like oxidation."""
        return self.reduction if atmosphere == "reduction" else self.oxidation


@dataclass(frozen=True, slots=True)
class Body:
    """A clay body; `iron` darkens what lies on it and `gas` wants a hold, both 0..1."""

    name: str
    colour_family: str
    speckled: bool
    swatch: str
    bare: Rgb
    bare_reduced: Rgb
    blush: Rgb
    cones: ConeRange
    absorption_pct: float
    shrinkage_pct: float
    default_hold_min: int | None
    iron: float
    gas: float
    grog: float
    note: str
    lots: tuple[str, ...]

    def rgb(self, atmosphere: str) -> Rgb:
        """The bare clay's colour after firing in this atmosphere."""
        return self.bare_reduced if atmosphere == "reduction" else self.bare


@dataclass(frozen=True, slots=True)
class ZoneShape:
    """A zone of a form: millimetres from the face's upper left."""

    name: str
    kind: str
    face: str
    textured: bool
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float

    @property
    def low_mm(self) -> float:
        """How far down its lower edge lies."""
        return self.y_mm + self.height_mm


@dataclass(frozen=True, slots=True)
class Form:
    """A tile form with its zones; `foot_mm` is the foot of an L tile as it shows in a picture, else 0."""

    name: str
    shape: str
    upright: bool
    width_mm: int
    height_mm: int
    thickness_mm: int
    hole_mm: float
    foot_mm: float
    note: str
    zones: tuple[ZoneShape, ...]


@dataclass(frozen=True, slots=True)
class KilnFacts:
    """A kiln, its shelves from the bottom up [mm], and how many cones each differs from the middle."""

    name: str
    kind: str
    power_kw: float | None
    energy_price_per_kwh: float | None
    elements_fitted_days_ago: int | None
    note: str
    shelves: tuple[tuple[int, int, int], ...]
    shelf_cones: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class PersonFacts:
    """Someone of the demo studio."""

    name: str
    role: str


@dataclass(frozen=True, slots=True)
class Weighed:
    """An absorption test: masses dry, wet and, where they were, hung in water [g]; `logged` ties it to a firing."""

    body: str
    cone: int
    method: str
    days_ago: int
    pieces: tuple[tuple[float, ...], ...]
    logged: bool


@dataclass(frozen=True, slots=True)
class Leached:
    """A laboratory's report on one glaze; `facts` are the record's own columns, figures element and what was read."""

    glaze: str
    body: str
    cone: int
    days_ago: int
    facts: dict[str, Any]
    figures: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All that the demo studio starts from, by name."""

    studio_name: str
    people: tuple[PersonFacts, ...]
    kilns: dict[str, KilnFacts]
    bodies: dict[str, Body]
    glazes: dict[str, Recipe]
    forms: dict[str, Form]
    weighed: tuple[Weighed, ...]
    leached: tuple[Leached, ...]
