"""Hang tiles on a board and take them off. All of one change carries one moment, by which it is taken back."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import F, Q
from django.utils import timezone
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from firings.models import CannotUndo, ChangedMeanwhile, User
from firings.moments import moment_of
from tiles.boards.layout import Laid, Slot
from tiles.boards.queries import seen_of
from tiles.models import Board, BoardSlot, Place, Tile


class NoRoom(Exception):
    """There are not enough free slots; the words are fit for a message."""


@dataclass(frozen=True, slots=True)
class Undone:
    """How many slots and tiles went back, and how many stay as somebody else left them since."""

    count: int
    left: int


Content = tuple[int | None, str]


@transaction.atomic
def hang(board: Board, at: Slot, tiles: Sequence[Tile], seen: str, *, by: User) -> datetime:
    """Hang a tile in a slot, more of them in the free slots that follow; what hung in the first comes off.

    Raises ChangedMeanwhile, and NoRoom where too few free slots follow.
    """
    standing = _claim(board, at, seen)
    coming = {tile.pk for tile in tiles}
    free = [
        (row, column)
        for row in range(1, board.rows + 1)
        for column in range(1, board.columns + 1)
        if (row, column) > at and _is_free(standing.get((row, column)), coming)
    ]
    places = [at, *free][: len(tiles)]
    if len(places) < len(tiles):
        raise NoRoom(
            f"Only {len(places)} of {len(tiles)} tiles find a free slot from here on. Nothing was hung."
        )
    contents = {place: (tile.pk, "") for place, tile in zip(places, tiles, strict=True)}
    return _write(board, contents, by=by)


def _is_free(slot: BoardSlot | None, coming: set[int]) -> bool:
    return slot is None or slot.tile is None or slot.tile.is_binned or slot.tile_id in coming


@transaction.atomic
def want(board: Board, at: Slot, words: str, seen: str, *, by: User) -> datetime:
    """Note what should hang in a slot; a tile that hangs there comes off. No words leave the slot free."""
    _claim(board, at, seen)
    return _write(board, {at: (None, words)}, by=by)


@transaction.atomic
def move(board: Board, at: Slot, to: Slot, seen: str, *, by: User) -> datetime:
    """Move what is in a slot to another; what is there changes places with it."""
    standing = _claim(board, at, seen)
    here, there = standing.get(at), standing.get(to)
    return _write(board, {to: _content(here), at: _content(there)}, by=by)


@transaction.atomic
def lay_out(board: Board, laid: Laid, rule: Mapping[str, object], stamp: int, *, by: User) -> datetime:
    """Hang all of a board anew as a rule laid it out; it grows where that needs room, and what hung before comes off.

    Raises StaleEdit where somebody changed the board since `stamp`.
    """
    current: Board = Board.objects.claim(board.pk, stamp)
    rows = max((row for row, _ in [*laid.hung, *laid.wanted]), default=0)
    columns = max((column for _, column in [*laid.hung, *laid.wanted]), default=0)
    moment = timezone.now()
    current.rows, current.columns, current.rule = (
        max(current.rows, rows),
        max(current.columns, columns),
        dict(rule),
    )
    current._history_user, current._history_date = by, moment  # type: ignore[attr-defined]
    current.save(update_fields=["rows", "columns", "rule"])
    contents: dict[Slot, Content] = {
        (slot.row, slot.column): (None, "") for slot in BoardSlot.objects.filter(board=current)
    }
    contents.update({place: (None, words[:200]) for place, words in laid.wanted.items()})
    contents.update({place: (tile, "") for place, tile in laid.hung.items()})
    return _write(current, contents, by=by, moment=moment)


def take_off(tiles: Iterable[Tile], moment: datetime, *, by: User) -> None:
    """Take tiles off whatever boards they hang on, as part of a change of that moment."""
    slots = list(BoardSlot.objects.select_for_update(of=("self",)).filter(tile__in=list(tiles)))
    for slot in slots:
        slot.tile = None
    bulk_update_with_history(slots, BoardSlot, ["tile"], default_user=by, default_date=moment)
    _move_on({slot.board_id for slot in slots})


def _claim(board: Board, at: Slot, seen: str) -> dict[Slot, BoardSlot]:
    """The board's slots, locked, if the one that is meant still holds what was seen."""
    Board.objects.select_for_update(of=("self",)).get(pk=board.pk)
    found = BoardSlot.objects.filter(board=board).select_related("tile")
    standing = {(slot.row, slot.column): slot for slot in found}
    slot = standing.get(at)
    tile = slot.tile if slot and slot.tile and not slot.tile.is_binned else None
    if seen_of(tile, slot.wanted if slot and not tile else "") != seen:
        raise ChangedMeanwhile
    return standing


def _content(slot: BoardSlot | None) -> Content:
    return (slot.tile_id, slot.wanted) if slot else (None, "")


def _write(
    board: Board, contents: Mapping[Slot, Content], *, by: User, moment: datetime | None = None
) -> datetime:
    """Fill slots; a tile that hung elsewhere leaves its slot there, on whatever board."""
    moment = moment or timezone.now()
    coming = {tile for tile, _ in contents.values() if tile}
    mine = Q(board=board)
    standing = list(BoardSlot.objects.select_for_update(of=("self",)).filter(mine | Q(tile__in=coming)))
    after = {(slot.board_id, slot.row, slot.column): _content(slot) for slot in standing}
    for key, (tile, wanted) in list(after.items()):
        if tile in coming:
            after[key] = (None, wanted)
    after.update({(board.pk, *place): content for place, content in contents.items()})
    _put(standing, after, moment, by)
    return moment


def _put(
    standing: Iterable[BoardSlot],
    after: Mapping[tuple[int, int, int], Content],
    moment: datetime,
    by: User,
) -> None:
    """Write what slots hold from now on; tiles come off first, so that two may change places."""
    by_key = {(slot.board_id, slot.row, slot.column): slot for slot in standing}
    changed = [slot for key, slot in by_key.items() if key in after and _content(slot) != after[key]]
    new = [
        BoardSlot(board_id=key[0], row=key[1], column=key[2], tile_id=tile, wanted=wanted)
        for key, (tile, wanted) in after.items()
        if key not in by_key and (tile or wanted)
    ]
    try:
        with transaction.atomic():
            BoardSlot.objects.filter(pk__in=[slot.pk for slot in changed]).update(tile=None)
            for slot in changed:
                slot.tile_id, slot.wanted = after[slot.board_id, slot.row, slot.column]
            bulk_update_with_history(
                changed, BoardSlot, ["tile", "wanted"], default_user=by, default_date=moment
            )
            bulk_create_with_history(new, BoardSlot, default_user=by, default_date=moment)
    except IntegrityError:
        raise ChangedMeanwhile from None
    _move_on({slot.board_id for slot in [*changed, *new]})


def _move_on(boards: Iterable[int]) -> None:
    """The boards' stamps, so that whoever lays one out anew knows that it is another now."""
    Board.everything.filter(pk__in=list(boards)).update(stamp=F("stamp") + 1)


@transaction.atomic
def undo(mark: int, *, by: User) -> Undone:
    """Take back what this person changed at that moment; what somebody changed again since is left as it is.

    Raises CannotUndo where nothing stands so any more.
    """
    moment = moment_of(mark)
    told = {"history_date": moment, "history_user": by}
    count, left = _undo_slots(told, by)
    tiles_count, tiles_left = _undo_places(told, by)
    _undo_boards(told, by)
    if not count + tiles_count:
        raise CannotUndo("All of it was changed again since; nothing was undone.")
    return Undone(count + tiles_count, left + tiles_left)


def _undo_slots(told: Mapping[str, object], by: User) -> tuple[int, int]:
    written = {row.id: row for row in BoardSlot.history.filter(**told)}
    before = _before(BoardSlot, written)
    boards = {row.board_id for row in written.values()}
    list(Board.everything.select_for_update(of=("self",)).filter(pk__in=boards))
    standing = list(BoardSlot.objects.select_for_update(of=("self",)).filter(pk__in=written))
    mine = [
        slot for slot in standing if _content(slot) == (written[slot.pk].tile_id, written[slot.pk].wanted)
    ]
    leaving = {slot.tile_id for slot in mine if slot.tile_id}
    back = {slot.pk: _content(before[slot.pk]) if slot.pk in before else (None, "") for slot in mine}
    # A tile that somebody hung in another place since stays there.
    coming = {tile for tile, _ in back.values() if tile}
    taken = set(
        BoardSlot.objects.filter(tile__in=coming - leaving)
        .exclude(pk__in=[slot.pk for slot in mine])
        .values_list("tile", flat=True)
    )
    kept = set(Tile.everything.filter(pk__in=coming).values_list("pk", flat=True)) - taken
    after = {
        (slot.board_id, slot.row, slot.column): (tile if tile in kept else None, wanted)
        for slot in mine
        for tile, wanted in [back[slot.pk]]
    }
    _put(mine, after, timezone.now(), by)
    return len(mine), len(standing) - len(mine)


def _undo_places(told: Mapping[str, object], by: User) -> tuple[int, int]:
    written = {row.id: row for row in Tile.history.filter(**told)}
    before = _before(Tile, written)
    standing = list(Tile.everything.select_for_update(of=("self",)).filter(pk__in=written))
    mine = [tile for tile in standing if tile.place_id == written[tile.pk].place_id]
    known = set(
        Place.everything.filter(pk__in=[row.place_id for row in before.values() if row.place_id]).values_list(
            "pk", flat=True
        )
    )
    for tile in mine:
        was = before[tile.pk].place_id if tile.pk in before else None
        tile.place_id, tile.stamp = (was if was in known else None), tile.stamp + 1
    bulk_update_with_history(mine, Tile, ["place", "stamp"], default_user=by, manager=Tile.everything)
    return len(mine), len(standing) - len(mine)


def _undo_boards(told: Mapping[str, object], by: User) -> None:
    """A board that was laid out anew has its size and its headings of before again."""
    written = {row.id: row for row in Board.history.filter(**told)}
    before = _before(Board, written)
    for board in Board.everything.select_for_update(of=("self",)).filter(pk__in=written):
        was = before.get(board.pk)
        if was is None or board.rule != written[board.pk].rule:
            continue
        used = BoardSlot.objects.filter(board=board).exclude(tile=None, wanted="")
        board.rows = max([was.rows, *used.values_list("row", flat=True)])
        board.columns = max([was.columns, *used.values_list("column", flat=True)])
        board.rule = was.rule
        board._history_user = by  # type: ignore[attr-defined]
        board.save(update_fields=["rows", "columns", "rule"])


def _before(model: Any, written: Mapping[int, Any]) -> dict[int, Any]:
    """For each written version, by its record's key, the one before it."""
    found: dict[int, Any] = {}
    rows = model.history.filter(id__in=list(written)).order_by("history_id")
    for row in rows:
        if row.history_id < written[row.id].history_id:
            found[row.id] = row
    return found
