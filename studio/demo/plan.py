"""The demo studio's year: every tile with its number, its layers, its firings and where it stood in each."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, timedelta

from studio.demo.catalogue import Catalogue
from studio.demo.firing_plan import FIRINGS, HALF_UNLOADED
from studio.demo.series_plan import all_series
from studio.demo.story import Draft, FiringStory, LayerStory, PlaceStory, SeriesStory, Story, TileStory

PLACES = ("front left", "back right", "middle", "front right", "back left")
# Every third banded tile of these firings comes back in that one, every other of them with Flux L on top.
REFIRED_FROM, REFIRED_IN, REFIRED_COUNT = (4, 5), 11, 8
# Tiles of the half-unloaded firing whose photos wait in the sorting tray.
IN_TRAY = 4


def story(catalogue: Catalogue, loaded_on: date, first_number: int) -> Story:
    """The year that ends a few days before `loaded_on`; tiles are numbered from `first_number`."""
    series = all_series()
    drafts = list(_with_refirings([(one, draft) for one in series for draft in one.drafts]))
    stood = _places([draft for _, draft in drafts], catalogue)
    tiles = tuple(
        _tile(number, one, draft, places, catalogue, loaded_on)
        for number, ((one, draft), places) in enumerate(zip(drafts, stood, strict=True), start=first_number)
    )
    last = [tile.number for tile in tiles if HALF_UNLOADED in tile.draft.firings]
    return Story(FIRINGS, series, tiles, HALF_UNLOADED, tuple(last[:IN_TRAY]))


def shortened(whole: Story, every: int) -> Story:
    """The same year with one tile in so many, for those in a hurry."""
    return replace(whole, tiles=whole.tiles[::every])


def firing_of(whole: Story, number: int) -> FiringStory:
    """The firing of that number."""
    return next(one for one in whole.firings if one.number == number)


def _with_refirings(drafts: Iterable[tuple[SeriesStory, Draft]]) -> Iterator[tuple[SeriesStory, Draft]]:
    refired = 0
    for turn, (one, draft) in enumerate(drafts):
        if refired < REFIRED_COUNT and turn % 3 == 0 and _comes_back(draft):
            draft, refired = _sent_back(draft, with_flux=refired % 2 == 1), refired + 1
        yield one, draft


def _comes_back(draft: Draft) -> bool:
    return draft.form == "Three-band tile" and len(draft.firings) == 1 and draft.firings[0] in REFIRED_FROM


def _sent_back(draft: Draft, *, with_flux: bool) -> Draft:
    """The same tile fired again, with or without one coat of Flux L over the two thinner bands."""
    again = LayerStory("Flux L", {"band 1": 1, "band 2": 1}, after_firings=1)
    layers = (*draft.layers, again) if with_flux else draft.layers
    return replace(draft, layers=layers, firings=(*draft.firings, REFIRED_IN))


def _places(drafts: Iterable[Draft], catalogue: Catalogue) -> Iterator[tuple[PlaceStory, ...]]:
    """Places one after the other, shelves in turn, so that each shelf sees every sort of tile."""
    shelves = {firing.number: len(catalogue.kilns[firing.kiln].shelves) for firing in FIRINGS}
    turns: Counter[int] = Counter()
    for draft in drafts:
        runners = [
            layer.after_firings for layer in draft.layers if catalogue.glazes[layer.glaze].known_runner
        ]
        stood = []
        for sequence, firing in enumerate(draft.firings, start=1):
            turn, turns[firing] = turns[firing], turns[firing] + 1
            place = PLACES[turn // shelves[firing] % len(PLACES)]
            runny = any(after < sequence for after in runners)
            stood.append(PlaceStory(firing, turn % shelves[firing] + 1, place, runny))
        yield tuple(stood)


def _tile(
    number: int,
    series: SeriesStory,
    draft: Draft,
    places: tuple[PlaceStory, ...],
    catalogue: Catalogue,
    loaded_on: date,
) -> TileStory:
    days_ago = _days_ago(draft.firings[0]) if draft.firings else 4
    lots = catalogue.bodies[draft.body].lots
    glazed_on = (
        loaded_on - timedelta(days=days_ago + 3 + number % 3) if draft.layers and draft.is_glazed else None
    )
    bisque = _bisque_before(days_ago + 6, number)
    return TileStory(
        number, series.name, draft, places, bisque, lots[number % len(lots)], glazed_on, series.by
    )


def _days_ago(firing: int) -> int:
    return next(one.days_ago for one in FIRINGS if one.number == firing)


def _bisque_before(days_ago: int, number: int) -> int:
    """One of the last two bisque firings that were out of the kiln by then: a third of the tiles were early."""
    done = [one.number for one in FIRINGS if one.purpose == "bisque" and one.days_ago > days_ago]
    return done[-2:][0] if number % 3 == 0 else done[-1]
