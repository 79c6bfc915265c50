"""Lay down tiles that were fired before the log began, with all that belongs to them, and take them back."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, time
from itertools import chain
from typing import Any

from django.db import transaction
from django.utils import timezone

from firings.logbook.services import enter_past_firings
from firings.models import Firing, User
from firings.rows import services as rows
from tiles.conditions import services as conditions
from tiles.conditions.facts import LayerFacts
from tiles.earlier.facts import UNSEEN, Cover, Earlier, EarlierFiring, EarlierTile
from tiles.models import Coverage, Flaw, FormZone, Glaze, Layer, Placement, Tile, Zone
from tiles.recording.queries import free_numbers, taken_numbers

# The hour of a firing of which only the day is known.
NOON = time(12)


@dataclass(frozen=True, slots=True)
class LaidDown:
    """Keys of what was made: of each tile in its order, and of the firings that are new, by their places."""

    tiles: rows.Keys
    firings: dict[int, int]


@transaction.atomic
def lay_down(
    earlier: Earlier, *, by: User, unseen: datetime | None = None, spoken_for: Collection[int] = ()
) -> LaidDown:
    """Write all of it down, history included. References are keys of records that stand.

    unseen : firings and tiles have this day in the bin, until the rest of them is there
    spoken_for : numbers that tiles still to come ask for
    """
    firings, made = _firings(earlier.firings, by, unseen)
    tiles = _tiles(earlier.tiles, by, unseen, spoken_for)
    zones, textured = _zones(earlier.tiles, tiles)
    _layers(earlier.tiles, tiles, zones, by)
    placements = _placements(earlier.tiles, tiles, firings, by)
    _outcomes(earlier, tiles, zones, textured, placements, firings, by)
    return LaidDown(tiles, made)


def _firings(
    told: Sequence[EarlierFiring], by: User, unseen: datetime | None
) -> tuple[list[Firing], dict[int, int]]:
    """The firings in their order, those of the log and new ones; and the keys of the new by their places."""
    standing = Firing.everything.in_bulk([one.known for one in told if one.known])
    asked = {one.number for one in told if one.number and not one.known}
    taken = set(Firing.everything.filter(number__in=asked).values_list("number", flat=True))
    spare = max(Firing.objects.next_number(), max(asked, default=0) + 1)
    found: list[Firing] = []
    new: dict[int, Firing] = {}
    for place in sorted(range(len(told)), key=lambda one: told[one].day):
        one = told[place]
        if one.known:
            continue
        if one.number and one.number not in taken:
            number = one.number
        else:
            number, spare = spare, spare + 1
        taken.add(number)
        new[place] = Firing(
            number=number,
            kiln_id=one.kiln,
            target_order=one.order,
            atmosphere=one.atmosphere,
            hold_min=one.hold_min,
            started_at=timezone.make_aware(datetime.combine(one.day, NOON)),
            note=one.note,
            binned_at=unseen,
        )
    enter_past_firings(list(new.values()), by=by)
    found = [new[place] if place in new else standing[one.known] for place, one in enumerate(told)]
    return found, {place: firing.pk for place, firing in new.items()}


def _tiles(
    told: Sequence[EarlierTile], by: User, unseen: datetime | None, spoken_for: Collection[int]
) -> rows.Keys:
    if not told:
        return []
    asked = [one.number for one in told if one.number]
    taken = set(taken_numbers(asked)) if asked else set()
    free = iter(free_numbers(len(told), {*asked, *spoken_for}))
    numbers = []
    for one in told:
        number = one.number if one.number and one.number not in taken else next(free)
        taken.add(number)
        numbers.append(number)
    keys = rows.reserve(Tile, len(told))
    who = by and by.pk
    rows.insert(
        Tile,
        ("id", "number", "form_id", "body_id", "note", "created_by_id", "binned_at"),
        (
            (key, number, one.form, one.body, one.note, who, unseen)
            for key, number, one in zip(keys, numbers, told, strict=True)
        ),
    )
    rows.note(Tile, keys, "+", by=by)
    return keys


ZONE = ("id", "tile_id", "form_zone_id", "position", "name", "kind", "face", "textured", "area_cm2")


def _zones(
    told: Sequence[EarlierTile], tiles: rows.Keys
) -> tuple[list[dict[str, int]], dict[int, dict[str, bool]]]:
    """For each tile its zones' keys by name; for each form which of its zones are textured."""
    patterns: dict[int, list[FormZone]] = {}
    for zone in FormZone.objects.filter(form__in={one.form for one in told}).order_by("position"):
        patterns.setdefault(zone.form_id, []).append(zone)
    shapes = {
        form: [(z.pk, z.position, z.name, z.kind, z.face, z.textured, round(z.area_cm2, 2)) for z in zones]
        for form, zones in patterns.items()
    }
    keys = iter(rows.reserve(Zone, sum(len(shapes[one.form]) for one in told)))
    found: list[dict[str, int]] = []

    def made() -> Iterator[tuple[Any, ...]]:
        for tile, one in zip(tiles, told, strict=True):
            mine = {}
            for shape in shapes[one.form]:
                key = mine[shape[2]] = next(keys)
                yield (key, tile, *shape)
            found.append(mine)

    rows.insert(Zone, ZONE, made())
    textured = {form: {zone.name: zone.textured for zone in zones} for form, zones in patterns.items()}
    return found, textured


def _layers(told: Sequence[EarlierTile], tiles: rows.Keys, zones: list[dict[str, int]], by: User) -> None:
    keys = rows.reserve(Layer, sum(len(one.layers) for one in told))
    left = iter(keys)
    covers: list[tuple[int, int, int | None, Any]] = []

    def made() -> Iterator[tuple[Any, ...]]:
        for tile, one, mine in zip(tiles, told, zones, strict=True):
            for position, layer in enumerate(one.layers, start=1):
                key = next(left)
                for name, cover in layer.covers.items():
                    covers.append((key, mine[name], cover.coats, cover.dip_s))
                yield (key, tile, position, layer.glaze, layer.method, layer.after)

    rows.insert(Layer, ("id", "tile_id", "position", "glaze_id", "method", "after_firings"), made())
    rows.note(Layer, keys, "+", by=by)
    cover_keys = rows.reserve(Coverage, len(covers))
    rows.insert(
        Coverage,
        ("id", "layer_id", "zone_id", "coats", "dip_s"),
        ((key, *cover) for key, cover in zip(cover_keys, covers, strict=True)),
    )
    rows.note(Coverage, cover_keys, "+", by=by)


def _placements(
    told: Sequence[EarlierTile], tiles: rows.Keys, firings: Sequence[Firing], by: User
) -> rows.Keys:
    """The keys of all placements, tile by tile in the order of their firings."""
    keys = rows.reserve(Placement, sum(len(one.fired) for one in told))
    firing_keys = [firing.pk for firing in firings]
    all_fired = (
        (tile, firing_keys[fired.firing], sequence, fired.place)
        for tile, one in zip(tiles, told, strict=True)
        for sequence, fired in enumerate(one.fired, start=1)
    )
    rows.insert(
        Placement,
        ("id", "tile_id", "firing_id", "sequence", "place"),
        ((key, *fired) for key, fired in zip(keys, all_fired, strict=True)),
    )
    rows.note(Placement, keys, "+", by=by)
    return keys


def _outcomes(
    earlier: Earlier,
    tiles: rows.Keys,
    zones: list[dict[str, int]],
    textured: dict[int, dict[str, bool]],
    placements: rows.Keys,
    firings: Sequence[Firing],
    by: User,
) -> None:
    now, who = timezone.now(), by and by.pk
    judged, unjudged = (who, now, who), (None, None, who)
    left = iter(placements)
    new: list[conditions.NewOutcome] = []
    flaws: list[tuple[int, tuple[tuple[str, str], ...]]] = []
    for tile, one, mine in zip(tiles, earlier.tiles, zones, strict=True):
        rough = textured[one.form]
        for sequence, fired in enumerate(one.fired, start=1):
            placement = next(left)
            for zone, stack, seen, _ in fired.results:
                if seen.flaws:
                    flaws.append((len(new), seen.flaws))
                own = (mine[zone], placement, tile, one.body, one.form, rough[zone], fired.place, sequence)
                is_judged = seen != UNSEEN
                new.append(
                    conditions.NewOutcome(
                        own, fired.firing, stack, seen[:-1], judged if is_judged else unjudged
                    )
                )
    names = dict(Glaze.everything.filter(pk__in=_glazes(earlier.stacks)).values_list("pk", "name"))
    stacks = [_facts(stack, names) for stack in earlier.stacks]
    keys = conditions.lay_outcomes(new, firings, stacks, by=by)
    _flaws([(keys[place], found) for place, found in flaws], by)


def _flaws(found: Sequence[tuple[int, tuple[tuple[str, str], ...]]], by: User) -> None:
    keys = rows.reserve(Flaw, sum(len(flaws) for _, flaws in found))
    told = ((outcome, kind, severity) for outcome, flaws in found for kind, severity in flaws)
    rows.insert(
        Flaw,
        ("id", "outcome_id", "kind", "severity"),
        ((key, *flaw) for key, flaw in zip(keys, told, strict=True)),
    )
    rows.note(Flaw, keys, "+", by=by)


def _glazes(stacks: Sequence[Sequence[Cover]]) -> set[int]:
    return {cover.glaze for cover in chain.from_iterable(stacks)}


def _facts(stack: Sequence[Cover], names: dict[int, str]) -> tuple[LayerFacts, ...]:
    return tuple(
        LayerFacts(one.glaze, names[one.glaze], None, "", one.method, one.coats, one.dip_s) for one in stack
    )
