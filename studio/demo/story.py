"""What happened in the demo studio, as plain facts: firings, series, tiles, what was laid on them, where they stood."""

from dataclasses import dataclass
from datetime import date

from studio.demo.picture import Relief


@dataclass(frozen=True, slots=True)
class FiringStory:
    """One firing. `reached` is the decimal cone in the middle of the kiln, `evidence` how the studio knows it.

    `days_ago` counts back from the day the demo is loaded; `target` is a cone as potters write it; `seen` holds
    what was seen so many hours after the start; `sensor_c` is by how much the kiln's sensor read too high at cone 6.
    """

    number: int
    kiln: str
    target: str
    days_ago: int
    reached: float
    purpose: str = "glaze"
    atmosphere: str = "oxidation"
    hold_min: int = 0
    state: str = "unloaded"
    evidence: str = "witness"
    note: str = ""
    seen: tuple[tuple[float, str], ...] = ()
    sensor_c: float = 0.0


@dataclass(frozen=True, slots=True)
class LayerStory:
    """One layer of a tile: coats or, for a dip, seconds on each zone by name."""

    glaze: str
    zones: dict[str, float]
    method: str = "brush"
    lot: str = ""
    after_firings: int = 0
    weighed: bool = False


@dataclass(frozen=True, slots=True)
class PlaceStory:
    """Where a tile stood in a firing; shelves count from the bottom."""

    firing: int
    shelf: int
    place: str
    on_cookie: bool = False


@dataclass(frozen=True, slots=True)
class Draft:
    """A tile as a series plans it: what it is, what lies on it, which firings it goes through, and whether it waits."""

    form: str
    body: str
    layers: tuple[LayerStory, ...]
    firings: tuple[int, ...]
    relief: Relief = "lines"
    is_glazed: bool = True


@dataclass(frozen=True, slots=True)
class SeriesStory:
    """Tiles made together to answer one question."""

    name: str
    question: str
    by: int
    drafts: tuple[Draft, ...]
    state: str = "done"
    note: str = ""


@dataclass(frozen=True, slots=True)
class TileStory:
    """One tile with its number, its series and its places; `by` counts in the list of people."""

    number: int
    series: str
    draft: Draft
    places: tuple[PlaceStory, ...]
    bisque: int
    body_lot: str
    glazed_on: date | None
    by: int


@dataclass(frozen=True, slots=True)
class Story:
    """The whole year of the demo studio; photos of the tiles `tray` wait in the sorting tray."""

    firings: tuple[FiringStory, ...]
    series: tuple[SeriesStory, ...]
    tiles: tuple[TileStory, ...]
    half_unloaded: int
    tray: tuple[int, ...]
