"""From the story to what came out of the kiln: each zone of each tile in each firing, judged and before the camera."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from firings.vocabulary import FiringState
from studio.demo.behaviour import Fired, Heat, Laid, coats_of_dip
from studio.demo.catalogue import Catalogue, Form, ZoneShape
from studio.demo.picture import TilePicture
from studio.demo.picturing import Sitter, tile_picture
from studio.demo.plan import firing_of
from studio.demo.story import FiringStory, LayerStory, PlaceStory, Story, TileStory
from tiles import numbers

# Every so manyth tile is photographed on its back, too.
BACK_EVERY = 9
# Two photos of this firing went wrong.
SPOILT_IN = 14
# In the same firing the backs of every so manyth tile are still to be judged.
BACKS_LEFT_EVERY = 6


@dataclass(frozen=True, slots=True)
class Visit:
    """One tile in one firing; `sequence` counts the tile's glaze firings from 1."""

    tile: TileStory
    place: PlaceStory
    firing: FiringStory
    sequence: int


@dataclass(frozen=True, slots=True)
class Shot:
    """A photograph to be taken: which visit it shows, whether it stays in the sorting tray, whether it is shaken."""

    visit: Visit
    face: str
    picture: TilePicture
    taken_at: datetime
    name: str
    in_tray: bool
    shaken: bool = False


def visits(year: Story) -> Iterator[Visit]:
    """Every tile in every firing it stood in."""
    for tile in year.tiles:
        for sequence, place in enumerate(tile.places, start=1):
            yield Visit(tile, place, firing_of(year, place.firing), sequence)


def is_out(visit: Visit, year: Story) -> bool:
    """Whether it is out of the kiln and judged; of the half-unloaded firing only the last tiles are."""
    if visit.firing.number != year.half_unloaded:
        return visit.firing.state == FiringState.UNLOADED.value
    inside = [tile.number for tile in year.tiles if year.half_unloaded in tile.draft.firings]
    return visit.tile.number in inside[len(inside) // 2 :]


def fired_zones(visit: Visit, catalogue: Catalogue) -> dict[str, Fired]:
    """Each zone of the tile as it went through this firing, bare ones too."""
    tile, kiln = visit.tile, catalogue.kilns[visit.firing.kiln]
    form, firing = catalogue.forms[tile.draft.form], visit.firing
    number = firing.reached + kiln.shelf_cones[visit.place.shelf - 1]
    heat = Heat(number, firing.atmosphere, firing.hold_min)
    body = catalogue.bodies[tile.draft.body]
    return {
        zone.name: Fired(
            layers_on(visit, zone, catalogue),
            body,
            heat,
            zone,
            form.upright,
            room_mm(form, zone),
            tile.number,
        )
        for zone in form.zones
    }


def judged_zones(visit: Visit, catalogue: Catalogue) -> dict[str, Fired]:
    """The glazed zones of a tile that somebody has judged."""
    back_left = visit.firing.number == SPOILT_IN and visit.tile.number % BACKS_LEFT_EVERY == 0
    zones = fired_zones(visit, catalogue).items()
    return {name: fired for name, fired in zones if fired.layers and not (back_left and name == "back")}


def layers_on(visit: Visit, zone: ZoneShape, catalogue: Catalogue) -> tuple[Laid, ...]:
    """The layers on a zone when the tile went into this firing, bottom to top."""
    return tuple(
        Laid(catalogue.glazes[layer.glaze], coats_on(layer, zone.name), layer.method)
        for layer in visit.tile.draft.layers
        if layer.after_firings < visit.sequence and zone.name in layer.zones
    )


def coats_on(layer: LayerStory, zone: str) -> float:
    """How many brushed coats a layer amounts to on a zone."""
    amount = layer.zones[zone]
    return coats_of_dip(amount) if layer.method == "dip" else amount


def room_mm(form: Form, zone: ZoneShape) -> float:
    """How far glaze may run below a zone before it leaves the tile, or the upright face of an L tile [mm]."""
    below = form.height_mm - zone.low_mm
    return below if zone.kind == "foot" else below - form.foot_mm


def shots(year: Story, catalogue: Catalogue, loaded_on: date) -> Iterator[Shot]:
    """The photographs of the year, firing by firing, in the order in which they were taken."""
    ordered = sorted(visits(year), key=lambda visit: (visit.firing.number, visit.tile.number))
    for turn, visit in enumerate(ordered):
        in_tray = visit.firing.number == year.half_unloaded and visit.tile.number in year.tray
        if not (is_out(visit, year) or in_tray):
            continue
        taken_at = unloaded_at(visit.firing, loaded_on) + timedelta(
            minutes=1 + turn % 90, seconds=7 * turn % 60
        )
        for face in _faces(visit):
            name = f"tile-{turn:04d}{'-back' if face == 'back' else ''}.jpg"
            yield Shot(visit, face, _picture(visit, face, catalogue), taken_at, name, in_tray)
    yield from _spoilt(ordered, catalogue, loaded_on)


def _spoilt(ordered: Sequence[Visit], catalogue: Catalogue, loaded_on: date) -> Iterator[Shot]:
    """Two photos nobody can file at a glance: one shaken, one of a tile whose number cannot be read."""
    for turn, visit in enumerate(visit for visit in ordered if visit.firing.number == SPOILT_IN):
        if turn in (1, 4):
            picture = _picture(visit, "front", catalogue)
            at = unloaded_at(visit.firing, loaded_on) + timedelta(minutes=97 + turn)
            unread = replace(picture, number="", shot=9)
            yield Shot(visit, "front", unread, at, f"tile-{900 + turn:04d}.jpg", True, shaken=turn == 4)


def unloaded_at(firing: FiringStory, loaded_on: date) -> datetime:
    """When the kiln was opened: the second morning after a firing."""
    return datetime.combine(loaded_on - timedelta(days=firing.days_ago - 2), time(9, 20))


def _faces(visit: Visit) -> tuple[str, ...]:
    glazed = {zone for layer in visit.tile.draft.layers for zone in layer.zones}
    both = "back" in glazed and visit.tile.number % BACK_EVERY == 0
    return ("front", "back") if both else ("front",)


def _picture(visit: Visit, face: str, catalogue: Catalogue) -> TilePicture:
    tile = visit.tile
    sitter = Sitter(
        catalogue.forms[tile.draft.form],
        catalogue.bodies[tile.draft.body],
        visit.firing.atmosphere,
        fired_zones(visit, catalogue),
        numbers.write(tile.number),
        tile.draft.relief,
        tile.number,
        visit.sequence,
    )
    return tile_picture(sitter, face)
