"""What a person says of a firing, planned or done."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from firings.vocabulary import Atmosphere, Purpose


@dataclass(frozen=True, slots=True)
class FiringFacts:
    """The facts of one firing as typed. Cones are ranks; `controller_number` is a decimal cone.

    `started_at` is when it is meant to start until it is fired, and when it did start from then on.
    """

    kiln_id: int
    purpose: str = Purpose.GLAZE.value
    programme_id: int | None = None
    target_order: int | None = None
    atmosphere: str = Atmosphere.OXIDATION.value
    hold_min: int = 0
    started_at: datetime | None = None
    ended_at: datetime | None = None
    controller_number: Decimal | None = None
    energy_kwh: Decimal | None = None
    cost: Decimal | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class WitnessReading:
    """One witness cone as typed. `pk` is None for a cone that is new; `bend_deg` is None while it is unread."""

    order: int
    shape: str
    shelf_id: int | None = None
    place: str = ""
    bend_deg: int | None = None
    pk: int | None = None
