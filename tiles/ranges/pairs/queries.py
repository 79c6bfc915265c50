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
from tiles.ranges.matrix import Asked
from tiles.ranges.queries import fired_with
from tiles.search.cards.queries import photos_of
from tiles.tray.parts.queries import PhotoPart

SIDES = (Axis.UNDER, Axis.OVER)
# So many other glazes are pictured over or under one; the answer for a cone names all.
MOST_OTHERS = 16


@dataclass(frozen=True, slots=True)
class Shown:
    """A combination with the photo of the result that stands for it; `found` is where all its results are."""

    combination: Combination
    other: Level
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
    found, names, kept = fired = fired_with(glaze)
    coats = known(Axis.COATS, sorted(fired.levels(glaze.pk)[Axis.COATS]), names)
    coat = said.get("coats", "")
    coat = coat if any(level.value == coat for level in coats) else ""
    standing = frozenset(TileForm.everything.filter(upright=True).values_list("pk", flat=True))
    question = "combined", glaze.pk, standing, coat
    pairs: list[Combination] = kept.of(question, lambda: combined(found, glaze.pk, standing, coat))
    cones = _cones({one.cone for one in pairs}, names)
    cone = said.get("cone", "")
    cone = cone if any(level.value == cone for level in cones) else ""
    pictured = {axis: frozenset(most_fired(pairs, axis, MOST_OTHERS)) for axis in SIDES}
    has_photo = {one.key for one in found if one.ware.pictured}
    best = {one.keys[0] for one in pairs if one.other in pictured[one.axis]}
    photos = photos_of(Outcome.objects.filter(pk__in=best & has_photo), looked_into=False)
    sheets = {axis: _sheet(glaze, axis, coat) for axis in SIDES}

    def picture(one: Combination) -> Shown:
        other = _bare(level_of(one.axis, one.other, names), one.axis)
        at = urlencode({"row": one.other, "column": one.cone})
        return Shown(one, other, photos.get(one.keys[0]), f"{sheets[one.axis]}&{at}")

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


def _sheet(glaze: Glaze, axis: Axis, coat: str) -> str:
    """The range sheet among whose cells the results of each combination of a side are."""
    held = {Axis.COATS: coat} if coat else {}
    return f"{reverse('tiles:ranges:cell', args=[glaze.pk])}?{address.write(Asked(axis, Axis.CONE, held))}"
