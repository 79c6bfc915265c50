"""Where the combinations of a tile lie: which zone takes which, and what goes on it, bottom to top."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tiles.plans.sketch import NONE, Sketch
from tiles.vocabulary import Method, ZoneKind

Combination = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class ZonePlace:
    """A zone of a form, as a plan needs it."""

    name: str
    kind: str
    area_cm2: float


@dataclass(frozen=True, slots=True)
class Coat:
    """One layer on one zone: the glaze by its level, and coats, or seconds where it is dipped."""

    glaze: str
    amount: int
    method: str = Method.BRUSH.value
    lot: str = ""

    @property
    def words(self) -> str:
        """As it is written on a sheet.

        >>> Coat("7", 3).words, Coat("7", 3, "dip").words
        ('×3', '3 s')
        """
        return f"{self.amount} s" if self.method == Method.DIP else f"×{self.amount}"


def taking(zones: Sequence[ZonePlace]) -> list[ZonePlace]:
    """The zones that take combinations: the bands, else the whole face, else all that may be glazed.

    >>> bands = [ZonePlace("band 1", "band", 12.0), ZonePlace("back", "back", 40.0), ZonePlace("foot", "foot", 5.0)]
    >>> [zone.name for zone in taking(bands)]
    ['band 1']
    """
    for kind in (ZoneKind.BAND, ZoneKind.WHOLE):
        if found := [zone for zone in zones if zone.kind == kind.value]:
            return found
    return [zone for zone in zones if zone.kind != ZoneKind.FOOT.value]


def laid(
    combinations: Sequence[Combination], zones: Sequence[ZonePlace], rest: str
) -> dict[str, Combination | None]:
    """For each zone by name its combination; None stays bare. The foot always does: it stands on the shelf.

    A tile of one combination takes it on all its bands. Zones without one of their own are glazed as the last, the
    thickest, where `rest` is "same"; they come last.
    """
    own = dict(zip((zone.name for zone in taking(zones)), combinations, strict=False))
    if len(combinations) == 1:
        own = {zone.name: combinations[0] for zone in taking(zones)}
    left = combinations[-1] if rest == "same" else None
    return {
        zone.name: None if zone.kind == ZoneKind.FOOT.value else own.get(zone.name, left)
        for zone in sorted(zones, key=lambda zone: zone.name not in own)
    }


def coats_of(combination: Combination, sketch: Sketch) -> tuple[Coat, ...]:
    """What goes on a zone, bottom to top.

    >>> plan = Sketch(under_coats=2)
    >>> made = coats_of({"glaze": "7", "under": "3", "over": "none", "coats": "2"}, plan)
    >>> [(coat.glaze, coat.words) for coat in made]
    [('3', '×2'), ('7', '×2')]
    """
    method = combination.get("method", Method.BRUSH.value)
    lot = combination.get("lot", NONE)
    own = Coat(combination["glaze"], int(combination["coats"]), method, "" if lot == NONE else lot)
    under, over = combination.get("under", NONE), combination.get("over", NONE)
    return (
        *([] if under == NONE else [Coat(under, sketch.under_coats)]),
        own,
        *([] if over == NONE else [Coat(over, sketch.over_coats)]),
    )
