"""Who shows a key, and what is read under /api/1/."""

from collections.abc import Sequence
from typing import Any

from django.db.models import QuerySet

from firings.models import Firing
from studio.models import AccessKey, Person
from studio.people.tokens import mark_of
from tiles import numbers
from tiles.download.queries import problems_of, rows_of
from tiles.download.rows import cone_words, plain
from tiles.models import ClayBody, Glaze, Outcome, Tile
from tiles.search.counting.queries import facet_counts, keys_in_view
from tiles.search.queries import search

Row = dict[str, Any]


def key_shown(secret: str) -> AccessKey | None:
    """The key of that secret, of a person who may sign in."""
    keys = AccessKey.objects.select_related("person").filter(person__is_active=True)
    return keys.filter(key_hash=mark_of(secret)).first()


def keys_of(person: Person) -> QuerySet[AccessKey]:
    """A person's keys; a keeper's page shows everybody's."""
    return AccessKey.objects.filter(person=person)


class Unreadable(Exception):
    """Something in an address could not be read; `problems` are sentences."""

    def __init__(self, problems: Sequence[str]) -> None:
        super().__init__(" ".join(problems))
        self.problems = list(problems)


def results_page(query: str, offset: int, limit: int) -> tuple[int, list[Row]]:
    """How many results the filters of the results page find, and some of them in its order. Raises Unreadable."""
    asked = search(query)
    if problems := problems_of(asked):
        raise Unreadable(problems)
    keys = keys_in_view(asked, offset, offset + limit)
    return facet_counts(asked).total, [dict(row) for row in rows_of(keys)]


def one_result(key: int) -> Row | None:
    """One fired result."""
    found = Outcome.objects.fired().filter(tile__binned_at__isnull=True, firing__binned_at__isnull=True)
    rows = rows_of(list(found.filter(pk=key).values_list("pk", flat=True)))
    return dict(rows[0]) if rows else None


def tiles_page(after: int, limit: int) -> list[Row]:
    """Tiles in the order of their numbers, from the one after `after`."""
    found = Tile.objects.filter(number__gt=after).select_related("body", "form", "series").order_by("number")
    return [_tile_row(tile) for tile in found[:limit]]


def one_tile(label: str) -> Row | None:
    """A tile by its number as people write it, with the results of its zones."""
    try:
        number = numbers.read(label)
    except ValueError as wrong:
        raise Unreadable([str(wrong)]) from None
    tile = Tile.objects.filter(number=number).select_related("body", "form", "series").first()
    if tile is None:
        return None
    keys = Outcome.objects.fired().filter(tile=tile, firing__binned_at__isnull=True).order_by("pk")
    return _tile_row(tile) | {
        "results": [dict(row) for row in rows_of(list(keys.values_list("pk", flat=True)))]
    }


def _tile_row(tile: Tile) -> Row:
    return {
        "number": tile.label,
        "body": tile.body.name,
        "form": tile.form.name,
        "series": tile.series.name if tile.series else "",
        "planned_cone": cone_words(tile.planned_order),
        "address": tile.get_absolute_url(),
    }


def glaze_rows() -> list[Row]:
    """The catalogue's glazes by name."""
    return [
        {
            "glaze": glaze.pk,
            "name": glaze.name,
            "kind": glaze.kind,
            "maker": glaze.maker,
            "cone_from": cone_words(glaze.cone_low_order),
            "cone_to": cone_words(glaze.cone_high_order),
            "surface": glaze.surface,
            "opacity": glaze.opacity,
            "tags": list(glaze.tag_words),
            "known_to_run": glaze.known_runner,
        }
        for glaze in Glaze.objects.order_by("name")
    ]


def body_rows() -> list[Row]:
    """The catalogue's clay bodies by name."""
    return [
        {
            "body": body.pk,
            "name": body.name,
            "colour": body.colour_family,
            "speckled": body.speckled,
            "cone_from": cone_words(body.cone_low_order),
            "cone_to": cone_words(body.cone_high_order),
            "absorption_pct": plain(body.absorption_pct),
            "shrinkage_pct": plain(body.shrinkage_pct),
        }
        for body in ClayBody.objects.by_name()
    ]


def firings_page(before: int, limit: int) -> list[Row]:
    """Firings, the newest first, from the one before `before`; what they cost is not told."""
    found = Firing.objects.select_related("kiln").filter(number__lt=before).order_by("-number")[:limit]
    return [
        {
            "number": firing.label,
            "kiln": firing.kiln.name,
            "purpose": firing.purpose,
            "state": firing.state,
            "atmosphere": firing.atmosphere,
            "hold_min": firing.hold_min,
            "target_cone": cone_words(firing.target_order),
            "reached_cone": cone_words(firing.reached_order),
            "reached_cone_number": plain(firing.reached_number),
            "reached_by": firing.reached_source,
            "started_at": firing.started_at.isoformat() if firing.started_at else None,
        }
        for firing in found
    ]
