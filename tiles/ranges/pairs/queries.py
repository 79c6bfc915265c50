"""Combinations of a glaze with their photos, and the answer to "what goes over this and stays on the pot?"."""

from collections.abc import Callable, Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from urllib.parse import urlencode

from django.urls import reverse

from tiles.columns.values import Lookups
from tiles.models import Glaze, Outcome, Photo, TileForm
from tiles.ranges import address
from tiles.ranges.axes import Axis, Level, known, level_of
from tiles.ranges.combinations import Combination, combined, most_fired, safest_first
from tiles.ranges.matrix import Asked, levels_seen
from tiles.ranges.queries import fired_with, shown_outcomes
from tiles.search.cards.queries import photos_of
from tiles.tray.parts.queries import PhotoPart

SIDES = (Axis.UNDER, Axis.OVER)
# So many other glazes are pictured over or under one; the answer for a cone names all.
MOST_OTHERS = 24


@dataclass(frozen=True, slots=True)
class Shown:
    """A combination with the result that stands for it; `found` is where all its results are."""

    combination: Combination
    other: Level
    outcome: Outcome | None
    photo: Photo | PhotoPart | None
    found: str


@dataclass(frozen=True, slots=True)
class Side:
    """Everything the glaze has been over, or under: a row for each other glaze, a column for each cone.

    left_out : how many other glazes, with fewest results, are not pictured
    """

    axis: Axis
    cones: tuple[Level, ...]
    rows: tuple[tuple[Level, tuple[Shown | None, ...]], ...]
    answer: tuple[Shown, ...]
    left_out: int


@dataclass(frozen=True, slots=True)
class Combinations:
    """The page. `cone` and `coats` are what was asked, as they stand in the address."""

    glaze: Glaze
    sides: tuple[Side, ...]
    cones: tuple[Level, ...]
    coats: tuple[Level, ...]
    cone: str
    coat: str

    @property
    def cone_words(self) -> str:
        return next((level.words for level in self.cones if level.value == self.cone), "")


def combinations(glaze: Glaze, said: Mapping[str, str]) -> Combinations:
    """All that a glaze has been over and under, in a number of queries that does not grow."""
    found, names = fired_with(glaze)
    coats = known(Axis.COATS, [*levels_seen(Axis.COATS, found, glaze.pk)], names)
    coat = said.get("coats", "")
    coat = coat if any(level.value == coat for level in coats) else ""
    standing = frozenset(TileForm.everything.filter(upright=True).values_list("pk", flat=True))
    pairs = combined(found, glaze.pk, standing, coat)
    cones = _cones({one.cone for one in pairs}, names)
    cone = said.get("cone", "")
    cone = cone if any(level.value == cone for level in cones) else ""
    pictured = {axis: frozenset(most_fired(pairs, axis, MOST_OTHERS)) for axis in SIDES}
    shown = shown_outcomes(one.keys[0] for one in pairs if one.other in pictured[one.axis])
    photos = photos_of(list(shown.values()), looked_into=False)

    def picture(one: Combination) -> Shown:
        best = shown.get(one.keys[0])
        other = _bare(level_of(one.axis, one.other, names), one.axis)
        photo = photos.get(best.pk) if best else None
        return Shown(one, other, best, photo, _found(glaze, one, coat))

    sides = tuple(_side(axis, pictured[axis], pairs, cones, cone, picture, names) for axis in SIDES)
    return Combinations(glaze, sides, tuple(cones), tuple(coats), cone, coat)


def _bare(level: Level, axis: Axis) -> Level:
    """The other glaze's name alone: the heading says already whether it lies over or under."""
    return replace(level, words=level.words.removeprefix(f"{axis.value} "))


def _cones(orders: Iterable[int], names: Lookups) -> list[Level]:
    return known(Axis.CONE, [str(order) for order in orders], names)


def _side(
    axis: Axis,
    pictured: Set[str],
    pairs: Sequence[Combination],
    cones: Sequence[Level],
    cone: str,
    picture: Callable[[Combination], Shown],
    names: Lookups,
) -> Side:
    every = [one for one in pairs if one.axis is axis]
    own = [one for one in every if one.other in pictured]
    at = {(one.other, one.cone): one for one in own}
    seen = [level for level in cones if any(str(one.cone) == level.value for one in own)]
    others = known(axis, [one.other for one in own], names)
    rows = tuple(
        (
            _bare(other, axis),
            tuple(
                picture(at[other.value, int(level.value)]) if (other.value, int(level.value)) in at else None
                for level in seen
            ),
        )
        for other in others
    )
    answer = safest_first(every, axis, int(cone)) if cone else []
    left_out = len({one.other for one in every}) - len(pictured)
    return Side(axis, tuple(seen), rows, tuple(picture(one) for one in answer), left_out)


def _found(glaze: Glaze, one: Combination, coat: str) -> str:
    """Where the results of a combination are: the cell of a range sheet."""
    held = {Axis.COATS: coat} if coat else {}
    query = address.write(Asked(one.axis, Axis.CONE, held))
    at = urlencode({"row": one.other, "column": one.cone})
    return f"{reverse('tiles:ranges:cell', args=[glaze.pk])}?{query}&{at}"
