"""Loads the demo studio: its people, shelves and year, through the same services that people's pages use."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from io import BytesIO
from typing import Any
from zlib import crc32

from django.db import models, transaction
from django.utils import timezone
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from firings.cones import series as cones
from firings.curves.outlook import look
from firings.curves.reading import Choice
from firings.curves.services import LoggerFile, keep_curve, receive_file
from firings.logbook.cost import energy_cost
from firings.logbook.services import add_note, settle_reached_cone
from firings.models import Firing, Kiln, Programme, WitnessCone
from firings.vocabulary import FIRED, FiringState
from studio.demo import outcomes as results
from studio.demo.catalogue import Catalogue
from studio.demo.drawing import Drawn, drawn
from studio.demo.firing_plan import PROGRAMMES, bends, energy_kwh, programme_of
from studio.demo.judging import Judgement, judge
from studio.demo.kept.services import PLACES, lay_out_the_load, put_away
from studio.demo.logs import log_of
from studio.demo.measured.services import write_measured
from studio.demo.outcomes import Visit, visits
from studio.demo.plan import shortened, story
from studio.demo.reading import demo_catalogue
from studio.demo.shelves.services import Shelves, decimal_of, figure, fill_shelves
from studio.demo.story import FiringStory, LayerStory, SeriesStory, Story, TileStory
from studio.models import Person
from tiles import numbers
from tiles.loading.services import place_tiles
from tiles.looking import services as looking
from tiles.models import (
    Board,
    BoardSlot,
    ClayBody,
    ColourReading,
    Coverage,
    Flaw,
    Glaze,
    GlazeBatch,
    Layer,
    Outcome,
    Photo,
    Place,
    Placement,
    SavedSearch,
    Series,
    StudioStandard,
    Tile,
    TileForm,
)
from tiles.photos import services as photos
from tiles.recording.grid import Amount, Cover, LayerRecipe, Recipe
from tiles.recording.services import glaze_tiles
from tiles.vocabulary import ColourBasis

Say = Callable[[str], None]
STANDARD_NAME, STANDARD_CONES, STANDARD_BODIES = "House standard", ("5", "6", "10"), 3
BOARD_NAME, BOARD_ROWS, BOARD_COLUMNS = "By the door", 4, 6
WANTED = {(2, 6): "Ember Plum on Loft, two coats", (4, 3): "Thaw without the fourth coat"}
SEARCHES = {
    "Keepers at cone 6": "cone=6&verdict=keep",
    "Ran off the foot": "run=off",
    "Matt without pinholes": "surface=matt&no_flaw=pinholing",
}
TOOLS = {
    "brush": "40 mm soft brush",
    "dip": "tongs",
    "spray": "1.5 mm nozzle",
    "sponge": "sea sponge",
    "pour": "jug",
}
FAN_BRUSH = "25 mm fan brush"
JUDGED = (
    "surface", "opacity", "run_mm", "runs_off", "pooling", "breaking", "gloss_gu", "lab_l", "lab_a", "lab_b",
    "lab_basis", "verdict", "remark", "judged_by", "judged_at",
)  # fmt: skip


class InTheWay(Exception):
    """The studio already holds something of the demo's; the words say what, fit for one line."""


@dataclass(frozen=True, slots=True)
class Loaded:
    """What was loaded."""

    tiles: int
    firings: int
    outcomes: int
    photos: int
    in_tray: int


def load_demo(*, today: date, every: int = 1, processes: int = 2, say: Say = lambda words: None) -> Loaded:
    """Load the demo studio, whole or not at all.

    Parameters
    ----------
    today : the year ends a few days before it
    every : one tile in so many, for those in a hurry
    processes : how many draw at once; 0 draws in this process
    say : told how it goes

    Raises
    ------
    InTheWay : the studio already holds something of the same number or name; nothing was changed
    """
    catalogue = demo_catalogue()
    year = shortened(story(catalogue, today, numbers.FIRST), every)
    refuse_if_in_the_way(catalogue, year)
    wanted = list(results.shots(year, catalogue, today))
    say(f"Drawing {len(wanted)} photos of {len(year.tiles)} tiles …")
    pictures = drawn(wanted, processes, lambda done: say(f"  {done} of {len(wanted)} drawn"))
    say("Writing the logbook …")
    loaded, kept = _write(catalogue, year, pictures, today)
    say("Preparing the photos …")
    for photo in kept:
        looking.make_renditions(photo)
    return loaded


def refuse_if_in_the_way(catalogue: Catalogue, year: Story) -> None:
    """Raise InTheWay where a number or name of the demo is taken, in the bin or out of it."""
    held = (
        *_taken(Tile, "number", [tile.number for tile in year.tiles], lambda n: f"tile {numbers.write(n)}"),
        *_taken(Firing, "number", [firing.number for firing in year.firings], lambda n: f"firing F-{n:04d}"),
        *_taken(Glaze, "name", catalogue.glazes, "glaze {}".format),
        *_taken(ClayBody, "name", catalogue.bodies, "clay body {}".format),
        *_taken(TileForm, "name", catalogue.forms, "tile form {}".format),
        *_taken(Kiln, "name", catalogue.kilns, "kiln {}".format),
        *_taken(Programme, "name", PROGRAMMES, "programme {}".format),
        *_taken(Series, "name", [one.name for one in year.series], "series {}".format),
        *_taken(Board, "name", [BOARD_NAME], "board {}".format),
        *_taken(Place, "name", [name for name, _, _ in PLACES], "place {}".format),
        *_taken(SavedSearch, "name", SEARCHES, "saved search {}".format),
    )
    if held:
        more = f" and {len(held) - 1} more" if len(held) > 1 else ""
        raise InTheWay(f"This studio already holds {held[0]}{more} of the demo studio.")


def _taken(
    model: type[models.Model], field: str, wanted: Iterable[Any], words: Callable[[Any], str]
) -> list[str]:
    found = model._default_manager.model.everything.filter(**{f"{field}__in": list(wanted)})  # type: ignore[attr-defined]
    return [words(value) for value in found.order_by(field).values_list(field, flat=True)]


@transaction.atomic
def _write(
    catalogue: Catalogue, year: Story, pictures: Sequence[Drawn], today: date
) -> tuple[Loaded, list[Photo]]:
    shelves = fill_shelves(catalogue, today)
    firings = {one.number: _write_firing(one, catalogue, shelves, today) for one in year.firings}
    tiles = _write_tiles(year, catalogue, shelves, firings, today)
    places = _place(year, shelves, firings, tiles, today)
    judged = _judge(year, catalogue, shelves, places, today)
    kept = [_keep(picture, shelves, places) for picture in pictures]
    _hang_board(year, tiles, shelves.people[0])
    put_away(tiles.values(), by=shelves.people[1])
    lay_out_the_load(firings.values(), by=shelves.people[1])
    _save_searches(shelves.people[0])
    _set_standard(shelves)
    write_measured(catalogue, shelves, today)
    in_tray = sum(picture.shot.in_tray for picture in pictures)
    return Loaded(len(tiles), len(firings), judged, len(kept), in_tray), kept


def _at(day: date, hour: int, minute: int = 0) -> datetime:
    return timezone.make_aware(datetime.combine(day, time(hour, minute)))


def _write_firing(one: FiringStory, catalogue: Catalogue, shelves: Shelves, today: date) -> Firing:
    by = shelves.people[1]
    firing = Firing(
        number=one.number,
        kiln=shelves.kilns[one.kiln],
        programme=Programme.objects.get(name=programme_of(one)),
        purpose=one.purpose,
        state=one.state,
        target_order=cones.order_of(one.target),
        atmosphere=one.atmosphere,
        hold_min=one.hold_min,
        note=one.note,
        created_by=by,
        created_at=_at(today - timedelta(days=one.days_ago + 2), 18),
    )
    firing._history_date, firing._history_user = firing.created_at, by  # type: ignore[attr-defined]
    firing.save()
    if one.state in FIRED:
        _fire(firing, one, catalogue, shelves, today)
    firing = settle_reached_cone(firing, by=by)
    if firing.ended_at and one.evidence == "witness":
        _log(firing, one, firing.unloaded_at or firing.ended_at, by)
    return firing


def _log(firing: Firing, one: FiringStory, seen_at: datetime, by: Person) -> None:
    """Bring in what the kiln's logger wrote; the witness cones stay the better evidence."""
    starts = timezone.localtime(firing.started_at).replace(tzinfo=None)
    programme = PROGRAMMES[programme_of(one)]
    name, data = log_of(one.kiln, programme, one.reached, starts, one.number, sensor_c=one.sensor_c)
    file = LoggerFile(receive_file([data]), name)
    curve = keep_curve(firing.pk, file, look(data, Choice()), by=by)
    seen_at += timedelta(seconds=1)
    curve.history.update(history_date=seen_at)
    firing.refresh_from_db()
    firing.history.filter(history_date__gt=seen_at).update(history_date=seen_at)


def _fire(firing: Firing, one: FiringStory, catalogue: Catalogue, shelves: Shelves, today: date) -> None:
    """What is known of a firing once it is through: times, energy, cones, what was seen."""
    day, kiln = today - timedelta(days=one.days_ago), firing.kiln
    started_at = _at(day, 7, 10)
    firing.started_at, firing.ended_at = started_at, _at(day, 19 if one.kiln == "Bellows" else 17, 40)
    if one.state == FiringState.UNLOADED.value:
        firing.unloaded_at = timezone.make_aware(results.unloaded_at(one, today)) + timedelta(minutes=100)
    if kiln.power_kw and kiln.energy_price_per_kwh:
        firing.energy_kwh = figure(energy_kwh(one), 1)
        firing.cost = energy_cost(firing.energy_kwh, kiln.energy_price_per_kwh)
    if one.evidence == "controller":
        firing.controller_number = figure(one.reached, 1)
    if one.evidence == "witness":
        _stand_cones(firing, one, catalogue, shelves)
    for hours, text in one.seen:
        add_note(firing, started_at + timedelta(hours=hours), text, by=shelves.people[1])
    firing._history_date = firing.unloaded_at or firing.ended_at  # type: ignore[attr-defined]


def _stand_cones(firing: Firing, one: FiringStory, catalogue: Catalogue, shelves: Shelves) -> None:
    """Three witness cones on the lowest, a middle and the top shelf of a glaze firing, one place in a bisque."""
    differs = catalogue.kilns[one.kiln].shelf_cones
    levels = sorted({1, (len(differs) + 1) // 2, len(differs)}) if one.purpose == "glaze" else [1]
    bulk_create_with_history(
        [
            WitnessCone(
                firing=firing,
                order=order,
                shelf=shelves.shelves[one.kiln, level],
                place="front",
                bend_deg=bend,
            )
            for level in levels
            for order, bend in bends(one.reached + differs[level - 1], one.target)
        ],
        WitnessCone,
        default_user=shelves.people[1],
        default_date=firing.unloaded_at or firing.ended_at,
    )


def _write_tiles(
    year: Story, catalogue: Catalogue, shelves: Shelves, firings: dict[int, Firing], today: date
) -> dict[int, Tile]:
    tiles: dict[int, Tile] = {}
    for one in year.series:
        told = [tile for tile in year.tiles if tile.series == one.name]
        if told:
            row = _write_series(one, told, shelves, today)
            recipes = [_recipe(tile, row, catalogue, shelves, firings) for tile in told]
            tiles |= {tile.number: tile for tile in glaze_tiles(recipes, by=shelves.people[one.by])}
    for tile in tiles.values():
        tile.created_at = _at(tile.glazed_on or today - timedelta(days=5), 10)
    Tile.objects.bulk_update(tiles.values(), ["created_at"])
    _backdate(Tile, {tile.pk: tile.created_at for tile in tiles.values()})
    _backdate_layers({tile.pk: tile.created_at for tile in tiles.values()})
    return tiles


def _backdate_layers(glazed_at: dict[int, datetime]) -> None:
    """Layers went on when their tile was glazed, a breath after the tile itself was written down."""
    layers = {
        pk: glazed_at[tile] for pk, tile in Layer.objects.filter(tile__in=glazed_at).values_list("pk", "tile")
    }
    covers = Coverage.objects.filter(layer__in=layers).values_list("pk", "layer")
    breath = timedelta(milliseconds=1)
    _backdate(Layer, {pk: moment + breath for pk, moment in layers.items()})
    _backdate(Coverage, {pk: layers[layer] + 2 * breath for pk, layer in covers})


def _write_series(one: SeriesStory, told: Sequence[TileStory], shelves: Shelves, today: date) -> Series:
    begun = min((tile.glazed_on for tile in told if tile.glazed_on), default=today - timedelta(days=6))
    row = Series(
        name=one.name,
        question=one.question,
        state=one.state,
        note=one.note,
        created_by=shelves.people[one.by],
        created_at=_at(begun, 9) - timedelta(days=7),
    )
    row._history_date = row.created_at  # type: ignore[attr-defined]
    row.save()
    return row


def _recipe(
    tile: TileStory, series: Series, catalogue: Catalogue, shelves: Shelves, firings: dict[int, Firing]
) -> Recipe:
    draft = tile.draft
    planned = firings[draft.firings[0]].target_order if draft.firings else None
    return Recipe(
        form_id=shelves.forms[draft.form].pk,
        body_id=shelves.bodies[draft.body].pk,
        layers=tuple(_layer(layer, tile, catalogue, shelves) for layer in draft.layers),
        body_lot=tile.body_lot,
        series_id=series.pk,
        bisque_firing_id=firings[tile.bisque].pk,
        planned_order=planned,
        glazed_on=tile.glazed_on,
        number=tile.number,
    )


def _layer(layer: LayerStory, tile: TileStory, catalogue: Catalogue, shelves: Shelves) -> LayerRecipe:
    lot = layer.lot or catalogue.glazes[layer.glaze].batches[0].lot
    batch = shelves.batches[layer.glaze, lot]
    form = catalogue.forms[tile.draft.form]
    areas = {zone.name: zone.width_mm * zone.height_mm / 100 for zone in form.zones}
    with_fan = layer.weighed and layer.method == "brush" and tile.number % 3 == 0
    thinness = 0.8 if with_fan else 1.0
    return LayerRecipe(
        glaze_id=shelves.glazes[layer.glaze].pk,
        covers={
            zone: _cover(layer, amount, areas[zone] * thinness, batch, f"{tile.number} {zone}")
            for zone, amount in layer.zones.items()
        },
        batch_id=batch.pk,
        method=layer.method,
        tool=FAN_BRUSH if with_fan else TOOLS[layer.method],
        specific_gravity=batch.specific_gravity,
        after_firings=layer.after_firings,
    )


def _cover(layer: LayerStory, amount: float, area_cm2: float, batch: GlazeBatch, chance: str) -> Cover:
    """One cell; a weighed coat takes about 0.07 g of slop a cm², less of a thinner one, never twice the same."""
    if layer.method == "dip":
        return Cover(Amount(dip_s=decimal_of(amount, 1)))
    scatter = 0.88 + crc32(chance.encode()) % 25 / 100
    wet_g = 0.07 * scatter * area_cm2 * amount * (float(batch.specific_gravity or 1.45) - 1) / 0.46
    return Cover(Amount(coats=round(amount)), decimal_of(wet_g) if layer.weighed else None)


def _place(
    year: Story, shelves: Shelves, firings: dict[int, Firing], tiles: dict[int, Tile], today: date
) -> dict[tuple[int, int], Placement]:
    """Put every tile where the story says; returns the placements by tile and firing number."""
    together: dict[tuple[int, int, str, bool], list[int]] = defaultdict(list)
    for visit in visits(year):
        place = visit.place
        together[place.firing, place.shelf, place.place, place.on_cookie].append(tiles[visit.tile.number].pk)
    for (number, level, words, on_cookie), ids in sorted(together.items()):
        shelf = shelves.shelves[firings[number].kiln.name, level]
        place_tiles(firings[number], ids, shelf, words, on_cookie, by=shelves.people[1])
    rows = Placement.objects.filter(tile__in=tiles.values()).select_related("tile", "firing")
    placed = {(row.tile.number, row.firing.number): row for row in rows}
    loaded_on = {one.number: _at(today - timedelta(days=one.days_ago + 1), 16) for one in year.firings}
    _backdate(Placement, {row.pk: loaded_on[number] for (_, number), row in placed.items()})
    return placed


def _backdate(model: Any, moments: dict[int, datetime]) -> None:
    """Let history tell the demo's own dates, not the minute in which it was loaded."""
    rows = list(model.history.filter(id__in=moments))
    for row in rows:
        row.history_date = moments[row.id]
    model.history.bulk_update(rows, ["history_date"], batch_size=400)


def _judge(
    year: Story,
    catalogue: Catalogue,
    shelves: Shelves,
    places: dict[tuple[int, int], Placement],
    today: date,
) -> int:
    """Judge the zones of every tile that is out of the kiln; returns how many."""
    rows = Outcome.objects.filter(placement__in=places.values()).select_related("zone")
    by_zone = {(row.placement_id, row.zone.name): row for row in rows}
    judged, flaws = [], []
    for turn, visit in enumerate(visit for visit in visits(year) if results.is_out(visit, year)):
        placement = places[visit.tile.number, visit.firing.number]
        at = timezone.make_aware(results.unloaded_at(visit.firing, today)) + timedelta(minutes=2 + turn % 95)
        for name, fired in results.judged_zones(visit, catalogue).items():
            outcome, judgement = by_zone[placement.pk, name], judge(fired)
            _note(outcome, judgement, visit, shelves.people[visit.tile.by], at)
            judged.append(outcome)
            flaws += [Flaw(outcome=outcome, kind=kind, severity=word) for kind, word in judgement.flaws]
    for flaw in flaws:
        flaw._history_date, flaw._history_user = flaw.outcome.judged_at, flaw.outcome.judged_by  # type: ignore[attr-defined]
    bulk_update_with_history(judged, Outcome, JUDGED, batch_size=200)
    bulk_create_with_history(flaws, Flaw, batch_size=500)
    bulk_create_with_history(_colours_of(judged), ColourReading, batch_size=500)
    return len(judged)


def _colours_of(judged: list[Any]) -> list[ColourReading]:
    """What an instrument read of the zones whose colour was measured."""
    readings = []
    for outcome in judged:
        if outcome.lab_l is None:
            continue
        reading = ColourReading(
            outcome=outcome, basis=outcome.lab_basis, counts=True, spread_de=0, pixel_count=0
        )
        reading.lab_l, reading.lab_a, reading.lab_b = outcome.lab_l, outcome.lab_a, outcome.lab_b
        reading.read_at, reading.read_by = outcome.judged_at, outcome.judged_by
        reading._history_date = outcome.judged_at  # type: ignore[attr-defined]
        reading._history_user = outcome.judged_by  # type: ignore[attr-defined]
        readings.append(reading)
    return readings


def _note(outcome: Any, judgement: Judgement, visit: Visit, by: Person, at: datetime) -> None:
    """Write what was seen onto an outcome; gloss and colour are measured on some tiles only."""
    for name in ("surface", "opacity", "pooling", "breaking", "verdict", "remark"):
        setattr(outcome, name, getattr(judgement, name))
    outcome.run_mm, outcome.runs_off = decimal_of(judgement.run_mm, 1), judgement.ran_off
    if visit.tile.number % 4 == 0:
        outcome.gloss_gu = decimal_of(judgement.gloss_gu, 1)
    if visit.tile.number % 3 == 0:
        outcome.lab_l, outcome.lab_a, outcome.lab_b = (round(value, 2) for value in judgement.lab)
        outcome.lab_basis = ColourBasis.INSTRUMENT.value
    outcome.judged_by, outcome.judged_at = by, at
    outcome._history_user, outcome._history_date = by, at


def _keep(picture: Drawn, shelves: Shelves, places: dict[tuple[int, int], Placement]) -> Photo:
    shot = picture.shot
    placement = None if shot.in_tray else places[shot.visit.tile.number, shot.visit.firing.number]
    return photos.store_photo(
        BytesIO(picture.content),
        by=shelves.people[shot.visit.tile.by],
        name=shot.name,
        placement=placement,
        look=shot.in_tray,
    )


def _save_searches(keeper: Person) -> None:
    """Questions a studio comes back to, for everyone."""
    for name, query in SEARCHES.items():
        search = SavedSearch(name=name, query=query, owner=keeper, shared=True, created_by=keeper)
        search._history_user = keeper  # type: ignore[attr-defined]
        search.save()


def _set_standard(shelves: Shelves) -> None:
    """What this studio wants to know of every glaze."""
    standard = StudioStandard(
        name=STANDARD_NAME,
        levels={
            "cones": [cones.order_of(cone) for cone in STANDARD_CONES],
            "bodies": [body.pk for body in [*shelves.bodies.values()][:STANDARD_BODIES]],
            "coats": [1, 2, 3],
        },
        created_by=shelves.people[0],
    )
    standard._history_user = shelves.people[0]  # type: ignore[attr-defined]
    standard.save()


def _hang_board(year: Story, tiles: dict[int, Tile], keeper: Person) -> None:
    """Hang good tiles, one of each stack and body, and leave two slots for what is missing."""
    board = Board.objects.create(name=BOARD_NAME, rows=BOARD_ROWS, columns=BOARD_COLUMNS, created_by=keeper)
    good = {
        (row.stack_key, row.body_id): row.tile
        for row in Outcome.objects.filter(tile__in=tiles.values(), verdict="keep")
        .select_related("tile")
        .order_by("tile__number", "zone__position")
    }
    hung = iter(dict.fromkeys(good.values()))
    slots = []
    for row in range(1, BOARD_ROWS + 1):
        for column in range(1, BOARD_COLUMNS + 1):
            wanted = WANTED.get((row, column), "")
            slots.append(
                BoardSlot(
                    board=board,
                    row=row,
                    column=column,
                    tile=None if wanted else next(hung, None),
                    wanted=wanted,
                )
            )
    bulk_create_with_history(slots, BoardSlot, default_user=keeper)
