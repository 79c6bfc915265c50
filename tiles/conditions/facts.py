"""What counts as a condition: all that could have made an outcome look as it does."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class LayerFacts:
    """One layer of a stack on one zone; exactly one of `coats` and `dip_s` (seconds) is given."""

    glaze_id: int
    glaze: str
    batch_id: int | None
    lot: str
    method: str
    coats: int | None
    dip_s: Decimal | None


@dataclass(frozen=True, slots=True)
class Conditions:
    """The conditions of one outcome. Layers run bottom to top; cones are ranks in the published series."""

    zone: str
    textured: bool
    layers: tuple[LayerFacts, ...]
    body_id: int
    body: str
    form: str
    firing: str
    target_order: int | None
    reached_number: Decimal | None
    reached_order: int | None
    reached_source: str
    atmosphere: str
    hold_min: int
    kiln: str
    shelf: int | None
    place: str
    fired_on: date | None
    firing_count: int
