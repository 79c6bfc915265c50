"""What the planner asks of the log: what there is to choose from, and which combinations exist."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from heapq import nlargest

import numpy as np
from django.db.models import Exists, OuterRef

from firings.cones import series as cones
from firings.keys import key_of
from firings.models import Firing, Kiln
from firings.vocabulary import FIRED, Atmosphere, Purpose
from tiles import numbers
from tiles.columns.queries import standing
from tiles.laydown.thickness.queries import wet_of_a_coat
from tiles.models import (
    ClayBody,
    Coverage,
    Glaze,
    GlazeBatch,
    Layer,
    Outcome,
    Placement,
    Series,
    StackedLayer,
    Tile,
    TileForm,
)
from tiles.planner.clipboard import SheetFacts, SheetRow, sheets
from tiles.planner.fired import Fired, fired_in
from tiles.plans.laying import ZonePlace, taking
from tiles.plans.loads import ShelfRoom
from tiles.plans.mixes import is_mix, mix_name
from tiles.plans.reading import Laid, Reading, read_combination
from tiles.plans.sketch import NONE, Sketch, in_order
from tiles.plans.tilelist import Combination
from tiles.plans.totals import FormFacts
from tiles.prints.kinds import Asked, sheet_kind
from tiles.prints.marks import Layout
from tiles.recording.queries import for_drawing, stacks_of
from tiles.vocabulary import Method, ZoneKind

# Results whose layers one question asks for: what SQLite takes at once has an end.
ASKED_AT_ONCE = 10_000
# How a mix of a blend is marked in the catalogue.
MIXED_HERE = "mixed here"
# How deep a standing tile's foot is where its form does not say (common practice, no source).
FOOT_MM = 30


@dataclass(frozen=True, slots=True)
class OnHand:
    """All a plan can be made of, with its words, in a constant number of queries."""

    names: Mapping[str, Mapping[str, str]]
    swatches: Mapping[str, str]
    forms: Mapping[str, FormFacts]
    own_lots: Mapping[str, frozenset[str]]
    kilns: Mapping[str, str]
    shelves: Mapping[str, tuple[ShelfRoom, ...]]
    body_cones: Mapping[str, tuple[int | None, int | None]]
    glaze_cones: Mapping[str, tuple[int | None, int | None]]
    body_holds: Mapping[str, int]
    laydown: Mapping[str, float]

    @property
    def room(self) -> dict[str, int]:
        """How many combinations a tile of each form takes."""
        return {key: len(taking(form.zones)) for key, form in self.forms.items()}

    def words(self, factor: str, level: str) -> str:
        """A level as people read it: "cone 6", "2 coats", "Harbour 75 + Quay 25"."""
        if factor == "glaze" and is_mix(level):
            return mix_name(level, self.names["glaze"])
        if factor == "cone":
            return f"cone {cones.label_of(int(level))}"
        if factor == "coats":
            return f"{level} coat{'' if level == '1' else 's'}"
        if factor == "hold":
            return f"{level} min hold" if level != "0" else "no hold"
        return self.names.get(factor, {}).get(level, level)


def on_hand() -> OnHand:
    glazes = list(Glaze.objects.order_by("name"))
    bodies = list(ClayBody.objects.order_by("name"))
    forms = list(TileForm.objects.prefetch_related("zones").order_by("name"))
    # Rows of what is read of them: a record of each lot with its glaze takes four times as long.
    lots = list(
        GlazeBatch.objects.order_by("glaze__name", "-opened_on", "lot").values_list(
            "pk", "glaze_id", "glaze__name", "lot"
        )
    )
    kilns = list(Kiln.objects.prefetch_related("shelves").order_by("name"))
    glaze_names = {str(glaze.pk): glaze.name for glaze in glazes}
    own_lots: dict[str, set[str]] = {}
    for pk, glaze, _, _ in lots:
        own_lots.setdefault(str(glaze), set()).add(str(pk))
    return OnHand(
        names={
            "glaze": glaze_names,
            "under": {NONE: "nothing under", **glaze_names},
            "over": {NONE: "nothing over", **glaze_names},
            "body": {str(body.pk): body.name for body in bodies},
            "form": {str(form.pk): form.name for form in forms if form.zones.all()},
            "lot": {
                NONE: "lot not said",
                **{str(pk): f"{name}, lot {lot}" for pk, _, name, lot in lots},
            },
            "method": dict(Method.choices()),
            "atmosphere": dict(Atmosphere.choices()),
        },
        swatches={str(glaze.pk): glaze.swatch for glaze in glazes},
        forms={str(form.pk): facts_of(form) for form in forms if form.zones.all()},
        own_lots={glaze: frozenset(keys) for glaze, keys in own_lots.items()},
        kilns={str(kiln.pk): kiln.name for kiln in kilns},
        shelves={str(kiln.pk): shelves_of(kiln) for kiln in kilns},
        body_cones={str(body.pk): (body.cone_low_order, body.cone_high_order) for body in bodies},
        body_holds={str(body.pk): body.default_hold_min for body in bodies if body.default_hold_min},
        laydown={str(key or ""): wet_g for key, wet_g in wet_of_a_coat().items()},
        glaze_cones={str(glaze.pk): (glaze.cone_low_order, glaze.cone_high_order) for glaze in glazes},
    )


def facts_of(form: TileForm) -> FormFacts:
    """A form as a plan needs it; its zones are at hand."""
    depth_mm = max(form.thickness_mm, FOOT_MM) if form.upright else form.height_mm
    return FormFacts(
        form.width_mm,
        form.height_mm,
        form.thickness_mm,
        (form.width_mm, depth_mm),
        tuple(ZonePlace(zone.name, zone.kind, zone.area_cm2) for zone in form.zones.all()),
    )


def shelves_of(kiln: Kiln) -> tuple[ShelfRoom, ...]:
    """The shelves whose sizes are known."""
    return tuple(
        ShelfRoom(shelf.position, shelf.width_mm, shelf.depth_mm)
        for shelf in kiln.shelves.all()
        if shelf.width_mm and shelf.depth_mm
    )


def firing_price(kiln: str) -> float | None:
    """What a glaze firing of a kiln has cost in the mean of the last ten whose cost is known."""
    if not kiln:
        return None
    fired = Firing.objects.filter(kiln=kiln, purpose=Purpose.GLAZE.value, cost__isnull=False)
    costs = [float(cost) for cost in fired.order_by("-number").values_list("cost", flat=True)[:10]]
    return sum(costs) / len(costs) if costs else None


@dataclass(frozen=True, slots=True)
class Existing:
    """A combination that is there: on which zone of which tile, fired or still to be."""

    combination: Mapping[str, str]
    number: int
    zone: str
    is_fired: bool

    @property
    def label(self) -> str:
        return numbers.write(self.number)


@dataclass(frozen=True, slots=True)
class There:
    """What of a plan is there: combinations that were fired, with the keys of their outcomes, then those that wait."""

    fired: Sequence[Fired] = ()
    waiting: Sequence[Existing] = ()

    @property
    def combinations(self) -> list[Combination]:
        return [*(one.combination for one in self.fired), *(one.combination for one in self.waiting)]

    def first(self, places: Sequence[int], most: int) -> tuple[list[Existing], int]:
        """Of the combinations at these places those that are listed, the newest first; and how many there are."""
        by_key = {
            key: self.fired[place].combination
            for place in places
            if place < len(self.fired)
            for key in self.fired[place].outcomes.tolist()
        }
        waiting = [self.waiting[place - len(self.fired)] for place in places if place >= len(self.fired)]
        newest = nlargest(most, by_key)
        rows = Outcome.objects.filter(pk__in=newest).order_by("-pk")
        fired = [
            Existing(by_key[pk], number, zone, is_fired=True)
            for pk, number, zone in rows.values_list("pk", "tile__number", "zone__name")
        ]
        return [*fired, *waiting][:most], len(by_key) + len(waiting)


def existing(sketch: Sketch, hand: OnHand, series: Series | None = None) -> There:
    """What of the plan is fired, or on a tile that waits; just the series' own where others don't count."""
    glazes = glaze_keys(sketch, hand)
    bodies = [int(key) for key in sketch.levels.get("body", ())]
    if not glazes or not bodies or (not sketch.existing_counts and series is None):
        return There()
    reading = Reading(sketch, {key: level for level, key in glazes.items()})
    own = None if sketch.existing_counts else series
    keys = {int(key) for key in glazes.values()}
    held = standing()
    fired = (
        fired_in_database(reading, keys, bodies, own)
        if held is None
        else fired_in(held, reading, keys, own.pk if own else None)
    )
    return There(fired, _waiting(reading, keys, bodies, own))


def waiting(sketch: Sketch, hand: OnHand, series: Series) -> list[Existing]:
    """What of a series' plan is on a tile that waits to be fired."""
    glazes = glaze_keys(sketch, hand)
    bodies = [int(key) for key in sketch.levels.get("body", ())]
    if not glazes or not bodies:
        return []
    reading = Reading(sketch, {key: level for level, key in glazes.items()})
    own = None if sketch.existing_counts else series
    return _waiting(reading, {int(key) for key in glazes.values()}, bodies, own)


def glaze_keys(sketch: Sketch, hand: OnHand) -> dict[str, str]:
    """The catalogue's key of each level of the glaze; a mix has one once it was made."""
    by_name = {name: key for key, name in hand.names["glaze"].items()}
    keys = {
        level: by_name.get(mix_name(level, hand.names["glaze"]), "") if is_mix(level) else level
        for level in sketch.levels.get("glaze", ())
    }
    return {level: key for level, key in keys.items() if key}


def fired_in_database(
    reading: Reading, glazes: Collection[int], bodies: Sequence[int], series: Series | None
) -> list[Fired]:
    """The same as `fired_in`, asked of the database where nothing is held, as within a transaction."""
    # A list made once: asked of each outcome, SQLite goes through all layers of the glaze (20 s at 100,000 outcomes).
    layered = StackedLayer.objects.filter(glaze__in=glazes).values("outcome")
    asked = Outcome.objects.fired().filter(
        body__in=bodies, pk__in=layered, layer_count__lte=reading.most_layers
    )
    if reading.sketch.levels.get("cone"):
        asked = asked.filter(reached_order__in=map(int, reading.sketch.levels["cone"]))
    if series is not None:
        asked = asked.filter(tile__series=series)
    columns = ("pk", "body_id", "form_id", "reached_order", "atmosphere", "hold_min")
    rows = list(asked.order_by("pk").values_list(*columns))
    stacks = _stacks_of_outcomes([row[0] for row in rows])
    found: dict[tuple[tuple[str, str], ...], list[int]] = {}
    for pk, *facts in rows:
        if combination := reading.combination(stacks.get(pk, ()), read_combination(*facts)):
            found.setdefault(tuple(combination.items()), []).append(pk)
    return [Fired(dict(one), np.array(keys, np.int64)) for one, keys in found.items()]


def _stacks_of_outcomes(outcomes: Sequence[int]) -> dict[int, list[Laid]]:
    stacks: dict[int, list[Laid]] = {}
    for start in range(0, len(outcomes), ASKED_AT_ONCE):
        layers = StackedLayer.objects.filter(outcome__in=outcomes[start : start + ASKED_AT_ONCE])
        for pk, glaze, coats, dip_s, method, lot in layers.order_by("outcome", "position").values_list(
            "outcome_id", "glaze_id", "coats", "dip_s", "method", "batch_id"
        ):
            stacks.setdefault(pk, []).append(Laid(str(glaze), _amount(coats, dip_s), method, str(lot or "")))
    return stacks


def _amount(coats: int | None, dip_s: object) -> int | None:
    """Coats, or the whole seconds of a dip."""
    return coats if coats is not None else int(dip_s) if dip_s == int(dip_s or 0) else None  # type: ignore[call-overload]


def _waiting(
    reading: Reading, glazes: Collection[int], bodies: Sequence[int], series: Series | None
) -> list[Existing]:
    # Told by the few firings that are not fired: SQLite then need not look at the firing of each place.
    to_fire = Firing.everything.exclude(state__in=FIRED).order_by().values("pk")
    fired = Placement.objects.filter(tile=OuterRef("pk")).exclude(firing__in=to_fire)
    glazed = Layer.objects.filter(tile=OuterRef("pk"), glaze__in=glazes)
    # Few tiles wait: that is asked first, and their layers only of those. Bodies are told apart afterwards, as SQLite
    # would go by them from one end of the table to the other (50 ms instead of 20 at 33,000 tiles).
    asked = Tile.objects.filter(~Exists(fired), Exists(glazed))
    if series is not None:
        asked = asked.filter(series=series)
    columns = ("number", "body_id", "form_id", "planned_order", "planned_atmosphere", "planned_hold_min")
    rows = asked.order_by("-pk").values_list("pk", *columns)
    tiles = {pk: (number, body, *facts) for pk, number, body, *facts in rows if body in bodies}
    found = []
    for (pk, zone), stack in _stacks_of_tiles(tiles).items():
        number, *facts = tiles[pk]
        if combination := reading.combination(stack, read_combination(*facts)):
            found.append(Existing(combination, number, zone, is_fired=False))
    return found


def _stacks_of_tiles(tiles: Iterable[int]) -> dict[tuple[int, str], list[Laid]]:
    covers = Coverage.objects.filter(layer__tile__in=list(tiles)).order_by("layer__tile", "layer__position")
    stacks: dict[tuple[int, str], list[Laid]] = {}
    for tile, zone, glaze, coats, dip_s, method, lot in covers.values_list(
        "layer__tile_id",
        "zone__name",
        "layer__glaze_id",
        "coats",
        "dip_s",
        "layer__method",
        "layer__batch_id",
    ):
        laid = Laid(str(glaze), _amount(coats, dip_s), method, str(lot or ""))
        stacks.setdefault((tile, zone), []).append(laid)
    return stacks


def levels_seen(series: Series) -> Sketch:
    """A plan that begins from a series without one: the levels its tiles show."""
    return levels_seen_in([series.pk])[series.pk]


def levels_seen_in(series: Sequence[int]) -> dict[int, Sketch]:
    """The same for several series by their keys; two queries."""
    levels: dict[int, dict[str, list[str]]] = {key: {"under": [NONE], "over": [NONE]} for key in series}
    tiles = Tile.objects.filter(series__in=series)
    for key, body, form, order, atmosphere, hold in tiles.values_list(
        "series_id", "body_id", "form_id", "planned_order", "planned_atmosphere", "planned_hold_min"
    ):
        seen = {"body": body, "form": form, "cone": order, "atmosphere": atmosphere or None, "hold": hold}
        for factor, level in seen.items():
            if level is not None:
                levels[key].setdefault(factor, []).append(str(level))
    laid = Coverage.objects.filter(layer__tile__in=tiles, layer__position=1, coats__isnull=False)
    for key, glaze, coats in laid.values_list(
        "layer__tile__series_id", "layer__glaze_id", "coats"
    ).distinct():
        levels[key].setdefault("glaze", []).append(str(glaze))
        levels[key].setdefault("coats", []).append(str(coats))
    return {key: Sketch(levels=in_order(found)) for key, found in levels.items()}


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a planned tile goes: its firing within the plan, the shelf, and its rank in the random order."""

    firing: int
    shelf: int | None
    place: int


def spread_of(series: Series) -> dict[int, Spot]:
    """For each tile the planner made, by its number, where it is to stand; the latest making counts."""
    spots: dict[int, Spot] = {}
    for making in series.plan.get("made", ()):
        first = max((spot.firing for spot in spots.values()), default=0)
        for place, (number, firing, shelf) in enumerate(making["tiles"], start=len(spots) + 1):
            spots[number] = Spot(first + firing, shelf, place)
    return spots


def in_sheet_order(tiles: Iterable[Tile], spots: Mapping[int, Spot]) -> list[Tile]:
    """Tiles of a series as they stand on its clip-board sheet: by hand first, then the plan's random order."""
    return sorted(
        tiles, key=lambda tile: (spots[tile.number].place if tile.number in spots else 0, tile.number)
    )


def sheet_facts(series: Series, studio: str) -> SheetFacts:
    """The clip-board sheet of a series: its tiles that are not glazed yet, else all, in the order to make them."""
    spots = spread_of(series)
    tiles = list(for_drawing(Tile.objects.filter(series=series)))
    ordered = in_sheet_order([tile for tile in tiles if tile.glazed_on is None] or tiles, spots)
    return SheetFacts(
        title=series.name,
        question=series.question,
        rows=tuple(_sheet_row(tile, spots.get(tile.number)) for tile in ordered),
        weighed=tuple(_weighed_for(ordered)),
        order="In random order: make and load them as they stand here." if spots else "",
        studio=studio,
    )


def _sheet_row(tile: Tile, spot: Spot | None) -> SheetRow:
    fire = [
        f"cone {cones.label_of(tile.planned_order)}" if tile.planned_order else "",
        tile.get_planned_atmosphere_display(),
        f"{tile.planned_hold_min} min hold" if tile.planned_hold_min else "",
    ]
    stand = f"firing {spot.firing}" + (f", shelf {spot.shelf}" if spot.shelf else "") if spot else ""
    by_words: dict[str, list[str]] = {}
    kinds = {zone.name: zone.kind for zone in tile.zones.all()}
    stacks = sorted(stacks_of(tile).items(), key=lambda one: kinds[one[0]] != ZoneKind.BAND)
    for zone, stack in stacks:
        words = " + ".join(f"{layer.glaze} {layer.amount.words}" for layer in stack) or "bare"
        by_words.setdefault(words, []).append(zone)
    return SheetRow(
        tile.label,
        f"{tile.body}, {tile.form}",
        ", ".join(filter(None, fire)),
        stand,
        tuple((", ".join(zones), words) for words, zones in by_words.items()),
    )


def _weighed_for(tiles: Iterable[Tile]) -> list[tuple[str, str]]:
    """What to weigh for the mixes that lie on these tiles."""
    lots = {
        layer.glaze.name: layer.glaze.note.partition(": ")[2].rstrip(".")
        for tile in tiles
        for layer in tile.layers.all()
        if layer.glaze.maker == MIXED_HERE and layer.glaze.note.startswith("Mix ")
    }
    return sorted(lots.items())


def _series_asked(asked: Asked) -> list[Series]:
    """The series of a print; raises LookupError where one is gone."""
    keys = map(key_of, asked.keys)
    found = {str(series.pk): series for series in Series.objects.filter(pk__in=keys)}
    if missing := [key for key in asked.keys if key not in found]:
        raise LookupError(f"Series {', '.join(missing)} is not in the logbook any more.")
    return [found[key] for key in asked.keys]


def _layouts(asked: Asked) -> list[Layout]:
    preferences = asked.preferences
    return [
        layout
        for series in _series_asked(asked)
        for layout in sheets(sheet_facts(series, preferences.studio_name), preferences.paper)
    ]


def _says(asked: Asked) -> str:
    return ", ".join(series.name for series in _series_asked(asked))


CLIPBOARD_SHEET = sheet_kind(
    "clip-board-sheet",
    "clip-board sheet",
    "clip-board sheets",
    "tiles.view_series",
    says=_says,
    layouts=_layouts,
)
