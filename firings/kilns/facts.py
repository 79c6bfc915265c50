"""What a person says of a kiln and its shelves."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from firings.vocabulary import ShelfShape


@dataclass(frozen=True, slots=True)
class KilnFacts:
    """A kiln as typed; power in kW, price of a kWh in the studio's money."""

    name: str
    kind: str
    power_kw: Decimal | None = None
    energy_price_per_kwh: Decimal | None = None
    elements_fitted_on: date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class ShelfFacts:
    """A shelf as typed, sizes in mm; `height_mm` is the room above it. `pk` is None for a new one.

    A round shelf is as deep as it is wide.
    """

    position: int
    width_mm: int | None = None
    depth_mm: int | None = None
    height_mm: int | None = None
    pk: int | None = None
    shape: str = ShelfShape.RECTANGLE.value
