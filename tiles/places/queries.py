"""Where tiles are, in a number of queries that does not grow."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from firings.rows.queries import Prepared
from tiles.models import BoardSlot, Place, Tile


@dataclass(frozen=True, slots=True)
class Where:
    """Where a tile is: in words, the page of it, and its turn when one walks from place to place."""

    words: str
    address: str
    turn: tuple[int, str, int, int]


NOWHERE = Where("", "", (2, "", 0, 0))


def places() -> QuerySet[Place]:
    """All places, with how many tiles are kept in each."""
    kept = Count("tiles", filter=Q(tiles__binned_at__isnull=True))
    return Place.objects.annotate(tile_count=kept)


def where_of(tiles: Iterable[Tile]) -> dict[int, Where]:
    """For each tile, by its key, where it is: its slot while it hangs, else where it is kept; two queries."""
    tiles = list(tiles)
    slots = BoardSlot.objects.filter(tile__in=tiles, board__binned_at__isnull=True).select_related("board")
    hung = {slot.tile_id: slot for slot in slots}
    kept = Place.objects.in_bulk({tile.place_id for tile in tiles if tile.place_id})
    return {tile.pk: _where(hung.get(tile.pk), kept.get(tile.place_id)) for tile in tiles}


def _where(slot: BoardSlot | None, place: Place | None) -> Where:
    if slot:
        words = slot_words(slot.board, slot.row, slot.column)
        address = f"{slot.board.get_absolute_url()}#slot-{slot.row}-{slot.column}"
        return Where(words, address, (0, slot.board.name.casefold(), slot.row, slot.column))
    if place:
        return Where(str(place), place.get_absolute_url(), (1, place.name.casefold(), 0, 0))
    return NOWHERE


_KEPT = Prepared(
    lambda among: (
        Tile.objects.filter(among("pk"), place__binned_at__isnull=True, place__isnull=False)
        .order_by()
        .values_list("pk", "place__name")
    )
)
_HUNG = Prepared(
    lambda among: (
        BoardSlot.objects.filter(among("tile_id"), board__binned_at__isnull=True)
        .order_by()
        .values_list("tile_id", "board__name", "row", "column")
    )
)


def words_of(tile_ids: Collection[int]) -> dict[int, str]:
    """Where tiles are in words, by their keys, as `where_of` says it, without reading the tiles; two queries."""
    found: dict[int, str] = dict(_KEPT.rows(tile_ids))
    for tile, board, row, column in _HUNG.rows(tile_ids):
        found[tile] = slot_words(board, row, column)
    return found


def slot_words(board: object, row: int, column: int) -> str:
    """Where a tile hangs: Wall by the sink, row 2, column 3."""
    return f"{board}, row {row}, column {column}"


@dataclass(frozen=True, slots=True)
class ToBring:
    """A tile to be brought, and where it is."""

    tile: Tile
    where: Where


def to_bring(tiles: Iterable[Tile]) -> list[ToBring]:
    """Tiles in the order in which one walks: board by board, place by place, those of no known place last."""
    tiles = list(tiles)
    found = where_of(tiles)
    return sorted(
        (ToBring(tile, found[tile.pk]) for tile in tiles), key=lambda one: (one.where.turn, one.tile.number)
    )


def tiles_in(place: Place) -> list[ToBring]:
    """The tiles that are kept in a place, by number; those that hang on a board now say so."""
    kept = list(Tile.objects.for_lists().filter(place=place).order_by("number"))
    found = where_of(kept)
    return [ToBring(tile, found[tile.pk]) for tile in kept]
