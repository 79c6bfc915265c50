"""The cards of results, in six queries whatever their number."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from operator import itemgetter
from typing import Literal, Protocol

from django.db import connection
from django.urls import reverse

from firings.rows.queries import Prepared
from tiles.conditions.queries import stacks_of
from tiles.models import Flaw, Outcome, Photo, PhotoFiling
from tiles.places.queries import words_of
from tiles.search.cards.words import Beside, Card, Picture, Row, card
from tiles.templatetags.photos import at, widths
from tiles.tray.parts.queries import PhotoPart, shown_of

ROW = (
    *("pk", "tile_id", "zone_id", "placement_id", "tile__number", "zone__name", "zone__form_zone__x_mm"),
    *("zone__form_zone__y_mm", "zone__form_zone__width_mm", "zone__form_zone__height_mm", "form__width_mm"),
    *("form__height_mm", "form__name", "textured", "body_id", "body__name", "firing__number", "target_order"),
    *("reached_number", "reached_order", "reached_source", "atmosphere", "hold_min", "kiln__name"),
    *("shelf__position", "place", "fired_on", "firing_count", "surface", "opacity", "run_mm", "runs_off"),
    *("pooling", "breaking", "verdict", "judged_at", "lab_l", "lab_a", "lab_b", "lab_basis"),
)
_ROWS = Prepared(lambda among: Outcome.objects.filter(among("pk")).order_by().values_list(*ROW))
_FLAWS = Prepared(
    lambda among: (
        Flaw.objects.filter(among("outcome_id"))
        .order_by("outcome_id", "kind")
        .values_list("outcome_id", "kind", "severity")
    )
)


def cards(keys: Sequence[int], apart: Mapping[int, float], unit: Literal["mm", "in"]) -> list[Card]:
    """Cards of results by their keys, in that order; `apart` tells how far off their colours are [ΔE00]."""
    found = {row[0]: Row(*row) for row in _ROWS.rows(keys)}
    rows = [found[key] for key in keys if key in found]
    stacks, flaws = stacks_of(keys), _flaws_of(keys)
    photos = photos_of(rows, looked_into=False)
    where = words_of({row.tile_id for row in rows})
    address = reverse("tiles:recording:tile", args=["0-0"]).replace("0-0", "{}")
    return [
        card(
            row,
            Beside(
                stacks[row.pk],
                flaws.get(row.pk, ()),
                _picture(photos.get(row.pk)),
                apart.get(row.pk),
                where.get(row.tile_id, ""),
            ),
            address,
            unit,
        )
        for row in rows
    ]


def _flaws_of(keys: Sequence[int]) -> dict[int, tuple[tuple[str, str], ...]]:
    return {key: tuple(row[1:] for row in its) for key, its in groupby(_FLAWS.rows(keys), key=itemgetter(0))}


def _picture(photo: Photo | PhotoPart | None) -> Picture | None:
    if photo is None:
        return None
    return Picture(at(photo, "small"), widths(photo), photo.width, photo.height)


# All of a filing and its photo but what was found in view, which is much to read for many photos.
_FILED = [field.attname for field in PhotoFiling._meta.concrete_fields]
_TAKEN = [field.attname for field in Photo._meta.concrete_fields if field.attname != "look"]
_FILINGS = Prepared(
    lambda among: (
        PhotoFiling.objects.filter(among("tile_id"), photo__binned_at__isnull=True)
        .order_by()
        .values_list(*_FILED, *(f"photo__{name}" for name in _TAKEN))
    )
)


def _filings_of(tiles: Iterable[int]) -> Iterator[PhotoFiling]:
    """Filings of tiles with their photos, of which what was found in view is not read."""
    for row in _FILINGS.rows(tiles):
        filing = PhotoFiling.from_db(connection.alias, _FILED, row[: len(_FILED)])
        filing.photo = Photo.from_db(connection.alias, _TAKEN, row[len(_FILED) :])
        yield filing


class Fired(Protocol):
    """What tells which photos are of a result."""

    @property
    def pk(self) -> int: ...
    @property
    def tile_id(self) -> int: ...
    @property
    def zone_id(self) -> int: ...
    @property
    def placement_id(self) -> int: ...


def photos_of(outcomes: Iterable[Fired], *, looked_into: bool = True) -> dict[int, Photo | PhotoPart]:
    """For each outcome, by its key, the photo, or part of one, that shows it best; one query.

    `looked_into` where what was found in view is needed too: much to read for many photos.
    """
    outcomes = list(outcomes)
    tiles = {outcome.tile_id for outcome in outcomes}
    whole = PhotoFiling.objects.filter(tile__in=tiles, photo__binned_at__isnull=True).select_related("photo")
    by_tile: dict[int, list[PhotoFiling]] = {}
    for filing in whole if looked_into else _filings_of(tiles):
        by_tile.setdefault(filing.tile_id, []).append(filing)
    shown = {outcome.pk: _best(by_tile.get(outcome.tile_id, []), outcome) for outcome in outcomes}
    return {pk: shown_of(filing) for pk, filing in shown.items() if filing}


def _best(filings: Iterable[PhotoFiling], outcome: Fired) -> PhotoFiling | None:
    """Of this zone before one of the whole tile, after this firing before one of no known firing, then the newest."""
    fitting = [
        filing
        for filing in filings
        if filing.placement_id in (None, outcome.placement_id) and filing.zone_id in (None, outcome.zone_id)
    ]
    return max(
        fitting,
        key=lambda filing: (filing.placement_id is not None, filing.zone_id is not None, filing.filed_at),
        default=None,
    )
