"""Plans kept, tiles made from them, and a making undone."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from django.db import transaction

from firings.models import User, signed
from tiles.models import Glaze, GlazeBatch, Series, Tile
from tiles.planner.queries import MIXED_HERE, OnHand, There, existing, firing_price
from tiles.planner.reckoning import Ground, Reckoned, reckoned
from tiles.plans.laying import Coat
from tiles.plans.mixes import Mix, is_mix, mix_name, mixes_of, with_mixes
from tiles.plans.sketch import Sketch, without_makings
from tiles.recording.grid import Amount, Cover, LayerRecipe, Recipe
from tiles.recording.services import glaze_tiles
from tiles.vocabulary import Method


class NothingToMake(Exception):
    """All of the plan exists already."""


def ground_of(sketch: Sketch, hand: OnHand) -> Ground:
    return Ground(hand.forms, hand.room, hand.own_lots, hand.shelves.get(sketch.kiln, ()), hand.laydown)


def work_out(sketch: Sketch, hand: OnHand, series: Series | None = None) -> tuple[Reckoned, There]:
    """The plan worked out, and what exists of it. Raises Unfinished and ImpossiblePlan in words."""
    whole = priced(with_mixes(sketch))
    there = existing(whole, hand, series)
    return reckoned(whole, ground_of(whole, hand), there.combinations), there


def priced(sketch: Sketch) -> Sketch:
    """The plan with what a firing of its kiln has cost lately, where no price was typed."""
    if sketch.firing_price is not None:
        return sketch
    return replace(sketch, firing_price=firing_price(sketch.kiln))


@transaction.atomic
def make_tiles(series: Series, stamp: int, hand: OnHand, *, by: User) -> list[Tile]:
    """Make the tiles of a plan that do not exist yet, numbered in the random order they are to be made in.

    Raises
    ------
    firings.models.StaleEdit : somebody changed the plan since `stamp` was read
    NothingToMake : all of it exists
    Unfinished, ImpossiblePlan : the plan cannot be worked out, in words
    """
    claimed: Series = Series.objects.claim(series.pk, stamp)
    sketch = Sketch.from_json(without_makings(claimed.plan))
    found, _ = work_out(sketch, hand, claimed)
    if not found.tiles:
        raise NothingToMake
    glazes, new_glazes = _glazes_for(sketch, hand, by)
    recipes = [_recipe(found, place, claimed, glazes) for place in found.in_order]
    tiles = glaze_tiles(recipes, by=by)
    _remember(claimed, found, tiles, new_glazes, by)
    return tiles


def _recipe(found: Reckoned, place: int, series: Series, glazes: Mapping[str, int]) -> Recipe:
    first = found.tiles[place].first
    return Recipe(
        form_id=int(first["form"]),
        body_id=int(first["body"]),
        layers=layers_of(found.made[place].coats, glazes),
        series_id=series.pk,
        planned_order=int(first["cone"]) if first.get("cone") else None,
        planned_atmosphere=first.get("atmosphere", ""),
        planned_hold_min=int(first["hold"]) if first.get("hold") else None,
    )


def layers_of(coats: Mapping[str, Sequence[Coat]], glazes: Mapping[str, int]) -> tuple[LayerRecipe, ...]:
    """Zones' stacks as the layers of a tile: a glaze at the same place of its stacks is one layer over several zones.

    Layers come by their place from the bottom, so that on no zone a lower one lies over a higher.
    """
    layers: dict[tuple[int, str, str, str], dict[str, Cover]] = {}
    for zone, stack in coats.items():
        for place, coat in enumerate(stack):
            key = (place, coat.glaze, coat.method, coat.lot)
            layers.setdefault(key, {})[zone] = Cover(_amount(coat))
    return tuple(
        LayerRecipe(glaze_id=glazes[glaze], covers=covers, batch_id=int(lot) if lot else None, method=method)
        for (_, glaze, method, lot), covers in sorted(layers.items(), key=lambda one: one[0][0])
    )


def _amount(coat: Coat) -> Amount:
    is_dip = coat.method == Method.DIP
    return Amount(dip_s=coat.amount) if is_dip else Amount(coats=coat.amount)  # type: ignore[arg-type]


def _glazes_for(sketch: Sketch, hand: OnHand, by: User) -> tuple[dict[str, int], list[int]]:
    """The catalogue's key of every glaze of the plan; mixes come into the catalogue with what to weigh for them."""
    names = hand.names["glaze"]
    keys = {level: int(level) for level in names}
    by_name = {name: int(key) for key, name in names.items()}
    new = []
    for level, mix in mixes_of(sketch.mixing).items():
        if not is_mix(level):
            continue
        name = mix_name(level, names)
        if name not in by_name:
            by_name[name] = _new_mix(name, sketch, mix, names, by).pk
            new.append(by_name[name])
        keys[level] = by_name[name]
    return keys, new


def _new_mix(name: str, sketch: Sketch, mix: Mix, names: Mapping[str, str], by: User) -> Glaze:
    weighed = ", ".join(
        f"{names[glaze]} {mass_g:g} g"
        for glaze, mass_g in zip(sketch.mixing.glazes, mix.masses_g, strict=True)
        if mass_g
    )
    glaze = Glaze(
        name=name[:80], maker=MIXED_HERE, note=f"Mix {mix.number} of a blend: {weighed}.", created_by=by
    )
    signed(glaze, by).save()
    batch = GlazeBatch(glaze=glaze, lot=f"mix {mix.number}", mixed_here=True, note=weighed, created_by=by)
    signed(batch, by).save()
    return glaze


def _remember(
    series: Series, found: Reckoned, tiles: Sequence[Tile], glazes: Sequence[int], by: User
) -> None:
    """Keep with the plan what was made of it, in order, and where each tile is to stand."""
    stands = [found.loads.stands[place] for place in found.in_order]
    made = {
        "tiles": [
            [tile.number, stand.firing, stand.shelf] for tile, stand in zip(tiles, stands, strict=True)
        ],
        "glazes": list(glazes),
    }
    series.plan = {**series.plan, "made": [*series.plan.get("made", ()), made]}
    signed(series, by).save(update_fields=["plan"])


@transaction.atomic
def unmake_tiles(series: Series, *, by: User) -> list[Tile]:
    """Undo the last making: its tiles, and the mixes it brought into the catalogue, go to the bin.

    Tiles that were placed in a firing since are left as they are.
    """
    claimed: Series = Series.objects.select_for_update(of=("self",)).get(pk=series.pk)
    *before, last = claimed.plan.get("made") or [{"tiles": [], "glazes": []}]
    numbers = [number for number, *_ in last["tiles"]]
    tiles = list(Tile.objects.filter(number__in=numbers, series=claimed, placements=None).order_by("number"))
    for tile in tiles:
        signed(tile, by).put_in_bin(by=by)
    kept = [one for one in last["tiles"] if one[0] not in {tile.number for tile in tiles}]
    if not kept:
        _bin_mixes(last["glazes"], by)
    claimed.plan = {**claimed.plan, "made": [*before, *([{**last, "tiles": kept}] if kept else [])]}
    signed(claimed, by).save(update_fields=["plan"])
    return tiles


def _bin_mixes(keys: Sequence[int], by: User) -> None:
    used = Tile.objects.filter(layers__glaze__in=keys).values_list("layers__glaze", flat=True)
    for glaze in Glaze.objects.filter(pk__in=keys).exclude(pk__in=used):
        signed(glaze, by).put_in_bin(by=by)
