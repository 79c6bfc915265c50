"""Tiles onto shelves and off again. In a glaze firing each gets the outcomes that will be judged."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import F, Max, Min
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from firings.models import CannotUndo, Firing, Shelf, User, WitnessCone
from firings.vocabulary import Purpose
from tiles.conditions import services as conditions
from tiles.loading import queries
from tiles.loading.moves import Move
from tiles.loading.packing import Packed, Piece, Room, Standing, pack, place_word, stand_near, word_point
from tiles.models import Layer, Outcome, Placement, Series, Tile
from tiles.planner.queries import spread_of

# What a place is: undoing gives all of it back.
WHERE = ("shelf_id", "place", "x_mm", "y_mm", "on_cookie", "proposed")


class CannotTakeOff(Exception):
    """What the tile looked like after this firing is written down; the words are fit for a message."""


@dataclass(frozen=True, slots=True)
class Loaded:
    """What placing did. `undo` is the range of history that undoing takes back, empty for a bisque firing."""

    placed: int
    moved: int
    undo: tuple[int, int] | None


@transaction.atomic
def place_tiles(
    firing: Firing, tile_ids: Iterable[int], shelf: Shelf | None, place: str, on_cookie: bool, *, by: User
) -> Loaded:
    """Put tiles on a shelf of a firing; one that is in it already is moved there.

    In a bisque firing a tile has no place of its own: the tile keeps which bisque firing it was in.
    """
    tiles = list(Tile.objects.select_for_update(of=("self",)).filter(pk__in=set(tile_ids)).order_by("number"))
    if firing.purpose == Purpose.BISQUE.value:
        return _bisque(firing, tiles, by)
    spot = {"x_mm": None, "y_mm": None, "proposed": False}
    return _put_all(
        firing, tiles, {"shelf_id": shelf and shelf.pk, "place": place, "on_cookie": on_cookie, **spot}, by
    )


def _put_all(firing: Firing, tiles: Sequence[Tile], where: dict[str, Any], by: User) -> Loaded:
    last = _last_history_id()
    moved = _move(firing, tiles, where, by)
    placed = _place(firing, [tile for tile in tiles if tile.pk not in moved], where, by)
    return Loaded(len(placed), len(moved), (last + 1, _last_history_id()))


def _last_history_id() -> int:
    return Placement.history.aggregate(last=Max("history_id"))["last"] or 0


def _bisque(firing: Firing, tiles: Sequence[Tile], by: User) -> Loaded:
    new = [tile for tile in tiles if tile.bisque_firing_id != firing.pk]
    for tile in new:
        _sign(tile, by)
        tile.bisque_firing = firing
        tile.save(update_fields=["bisque_firing"])
    return Loaded(len(new), 0, None)


def _move(firing: Firing, tiles: Sequence[Tile], where: dict[str, Any], by: User) -> set[int]:
    """Where these tiles were in the firing already they are there no longer, but here; returns their keys."""
    standing = list(Placement.objects.filter(firing=firing, tile__in=tiles))
    for placement in standing:
        _put(placement, where, by)
    conditions.refresh_tiles([placement.tile_id for placement in standing])
    return {placement.tile_id for placement in standing}


def _put(placement: Placement, where: dict[str, Any], by: User) -> None:
    for name, value in where.items():
        setattr(placement, name, value)
    _sign(placement, by)
    placement.save()


def _place(firing: Firing, tiles: Sequence[Tile], where: dict[str, Any], by: User) -> list[Placement]:
    been = dict(
        Placement.objects.filter(tile__in=tiles).values_list("tile").annotate(last=Max("sequence")).order_by()
    )
    rows = [Placement(tile=tile, firing=firing, sequence=been.get(tile.pk, 0) + 1, **where) for tile in tiles]
    placed = bulk_create_with_history(rows, Placement, default_user=by)
    if firing.purpose == Purpose.GLAZE.value:
        conditions.make_outcomes([placement.pk for placement in placed], by=by)
    return placed


@transaction.atomic
def take_off(placement: Placement, *, by: User) -> tuple[int, int]:
    """Take a tile out of a firing; returns the range of history that undoing takes back.

    Raises CannotTakeOff where more is built on it: a judgement, a later firing, a glazing for a later firing.
    """
    if why := _why_it_stays(placement):
        raise CannotTakeOff(why)
    last = _last_history_id()
    _sign(placement, by)
    placement.delete()
    return last + 1, _last_history_id()


def _why_it_stays(placement: Placement) -> str:
    tile, firing, sequence = placement.tile, placement.firing, placement.sequence
    if Outcome.everything.filter(placement=placement, judged_at__isnull=False).exists():
        return f"Tile {tile} was judged after {firing}, so it stays in it. Undo the judgement first if it was not."
    if Placement.objects.filter(tile=tile, sequence__gt=sequence).exists():
        return f"Tile {tile} is in a later firing than {firing}. Take it off there first."
    if Layer.objects.filter(tile=tile, after_firings__gte=sequence).exists():
        return f"Tile {tile} was glazed again after {firing}. Take those layers off its coat grid first."
    return ""


@transaction.atomic
def take_out_of_bisque(tile: Tile, *, by: User) -> None:
    """The tile was not in that bisque firing after all."""
    _sign(tile, by)
    tile.bisque_firing = None
    tile.save(update_fields=["bisque_firing"])


@transaction.atomic
def take_back(firing: Firing, first: int, last: int, *, by: User) -> int:
    """Undo what this person did to the firing's load in this range of history; returns how many tiles it was about.

    Raises CannotUndo where one of them was moved again since, CannotTakeOff where one was judged.
    """
    changes = Placement.history.filter(firing=firing)
    steps = _steps_of(changes, first, last, by)
    if not steps:
        raise CannotUndo(f"Nothing of yours in the load of {firing} is left to undo.")
    if _changed_since(changes, steps):
        raise CannotUndo(f"The load of {firing} was changed again since; nothing was undone.")
    for placement_id, (begun, _) in steps.items():
        before = changes.filter(id=placement_id, history_id__lt=begun).order_by("history_id").last()
        _restore(firing, placement_id, before, by)
    return len(steps)


def _steps_of(changes: Any, first: int, last: int, by: User) -> dict[int, tuple[int, int]]:
    """For each record this person changed in a range of history, the first and the last of those changes.

    Where several write at once, as on PostgreSQL, another person's changes may lie within the range: they are theirs.
    """
    own = changes.filter(history_id__gte=first, history_id__lte=last, history_user=by).order_by()
    spans = own.values_list("id").annotate(begun=Min("history_id"), ended=Max("history_id"))
    return {pk: (begun, ended) for pk, begun, ended in spans}


def _changed_since(changes: Any, steps: dict[int, tuple[int, int]]) -> bool:
    """Whether one of these records was changed after its own last step, by whomever."""
    latest = changes.filter(id__in=steps).order_by().values_list("id").annotate(latest=Max("history_id"))
    return any(found > steps[pk][1] for pk, found in latest)


def _restore(firing: Firing, placement_id: int, before: Any, by: User) -> None:
    standing = Placement.objects.filter(pk=placement_id).select_related("tile", "firing").first()
    if before is None:
        if standing:
            take_off(standing, by=by)
        return
    where = {name: getattr(before, name) for name in WHERE}
    if not Shelf.objects.filter(pk=before.shelf_id, kiln=firing.kiln_id).exists():
        where |= {"shelf_id": None, "x_mm": None, "y_mm": None}
    _put_all(firing, list(Tile.objects.filter(pk=before.tile_id)), where, by)


class MovedMeanwhile(Exception):
    """Somebody else moved it since the page was shown; the words are fit for a message."""


class StaysInside(Exception):
    """It would reach over the edge of the shelf, or finds no room on it; the words are fit for a message."""


@transaction.atomic
def move_tile(firing: Firing, placement_id: int, mark: int, move: Move, *, by: User) -> tuple[int, int]:
    """Put one tile of a load elsewhere; returns the range of history that undoing takes back.

    Raises MovedMeanwhile where the state that was seen is gone, StaysInside where there is no such place.
    """
    standing = Placement.objects.select_for_update(of=("self",)).filter(firing=firing, pk=placement_id)
    placement = standing.select_related("tile__form", "shelf").first()
    if placement is None:
        raise MovedMeanwhile(
            "The tile was taken out of this firing meanwhile. Put it in again if it is to go in."
        )
    if queries.mark_of(Placement.history, [placement.pk]) != mark:
        raise MovedMeanwhile(
            _where_now(f"Tile {placement.tile}", placement, Placement.history.filter(id=placement.pk))
        )
    piece = queries.piece_of(placement, runs=placement.on_cookie)
    where = _spot(firing, piece, move, str(placement.tile), skip=placement.pk)
    last = _last_history_id()
    _put(placement, {**where, "proposed": False}, by)
    conditions.refresh_tiles([placement.tile_id])
    return last + 1, _last_history_id()


def _where_now(what: str, record: Placement | WitnessCone, history: Any) -> str:
    change = history.order_by("history_id").last()
    who = getattr(change, "history_user", None)
    place = f"{record.shelf}, {record.place}".rstrip(", ") if record.shelf else "no shelf noted"
    return (
        f"{what} was moved meanwhile{f' by {who}' if who else ''}: {place}. Your move was not kept; "
        "look where it stands now, and move it again if you mean it."
    )


def _spot(firing: Firing, piece: Piece, move: Move, label: str, *, skip: int) -> dict[str, Any]:
    """The columns of a place, with its words by the one rule."""
    if move.shelf is None:
        return {"shelf_id": None, "place": "", "x_mm": None, "y_mm": None}
    room = queries.room_for(move.shelf)
    if move.x_mm is None or move.y_mm is None:
        found = stand_near(room, [(piece, 0, 0)], _standing_on(firing, move.shelf, skip))[0]
        if found is None:
            raise StaysInside(
                f"{move.shelf} has no room left for {label}. Say where it goes, or move others."
            )
    else:
        found = Standing(piece, room.position, move.x_mm, move.y_mm)
    if not room.takes(found.box):
        width, depth, _ = piece.takes_mm
        raise StaysInside(
            f"{label} would reach over the edge of {move.shelf}: it takes {width} × {depth} mm there. "
            "It stays where it was."
        )
    return {"shelf_id": move.shelf.pk, **_columns(found, room)}


def _columns(found: Standing, room: Room) -> dict[str, Any]:
    middle = found.x_mm + found.piece.width_mm / 2, found.y_mm + found.piece.depth_mm / 2
    return {
        "x_mm": found.x_mm,
        "y_mm": found.y_mm,
        "place": place_word(*middle, room.width_mm, room.depth_mm),
    }


def _standing_on(firing: Firing, shelf: Shelf, skip: int) -> list[Standing]:
    """What stands on a shelf to the millimetre, but for one piece."""
    placed = Placement.objects.filter(firing=firing, shelf=shelf, x_mm__isnull=False)
    corners = [(queries.piece_of(row, runs=row.on_cookie), row.x_mm, row.y_mm) for row in placed.by_shelf()]
    packs = [pack for pack in queries.cone_packs(firing) if pack.shelf_id == shelf.pk]
    corners += [(one.piece, one.cones[0].x_mm, one.cones[0].y_mm) for one in packs]
    return [
        Standing(piece, shelf.position, x_mm, y_mm)
        for piece, x_mm, y_mm in corners
        if piece.key != skip and x_mm is not None and y_mm is not None
    ]


@transaction.atomic
def move_cones(
    firing: Firing, cone_ids: Sequence[int], mark: int, move: Move, *, by: User
) -> tuple[int, int]:
    """Put a pack of witness cones elsewhere; returns the range of history that undoing takes back.

    Raises MovedMeanwhile where the state that was seen is gone, StaysInside where there is no such place.
    """
    standing = WitnessCone.objects.select_for_update(of=("self",)).filter(firing=firing, pk__in=cone_ids)
    pack_of = queries.ConePack(tuple(standing.select_related("shelf").order_by("order", "pk")))
    if len(pack_of.cones) != len(set(cone_ids)):
        raise MovedMeanwhile("These witness cones were changed meanwhile. Look which there are now.")
    label = pack_of.words.capitalize()
    if queries.mark_of(WitnessCone.history, cone_ids) != mark:
        raise MovedMeanwhile(
            _where_now(label, pack_of.cones[0], WitnessCone.history.filter(id=pack_of.cones[0].pk))
        )
    where = _spot(firing, pack_of.piece, move, label, skip=pack_of.piece.key)
    last = _last_cone_history_id()
    for cone in pack_of.cones:
        _put_cone(cone, where, by)
    return last + 1, _last_cone_history_id()


def _last_cone_history_id() -> int:
    return WitnessCone.history.aggregate(last=Max("history_id"))["last"] or 0


def _put_cone(cone: WitnessCone, where: dict[str, Any], by: User) -> None:
    for name, value in where.items():
        setattr(cone, name, value)
    _sign(cone, by)
    cone.save()


@transaction.atomic
def take_cones_back(firing: Firing, first: int, last: int, *, by: User) -> int:
    """Undo this person's move of witness cones; returns how many. Raises CannotUndo where one was changed since."""
    changes = WitnessCone.history.filter(firing=firing)
    steps = _steps_of(changes, first, last, by)
    if not steps:
        raise CannotUndo(f"Nothing of yours among the witness cones of {firing} is left to undo.")
    if _changed_since(changes, steps):
        raise CannotUndo(f"The witness cones of {firing} were changed again since; nothing was undone.")
    for cone in WitnessCone.objects.filter(pk__in=steps):
        before = changes.filter(id=cone.pk, history_id__lt=steps[cone.pk][0]).order_by("history_id").last()
        if before:
            _put_cone(
                cone, {name: getattr(before, name) for name in ("shelf_id", "place", "x_mm", "y_mm")}, by
            )
    return len(steps)


@dataclass(frozen=True, slots=True)
class Proposed:
    """What a proposal did: tiles that have a place now, those on another shelf than their plan asked, and for each
    reason the tiles that found none."""

    placed: int
    elsewhere: int
    left_out: dict[str, list[str]]
    undo: tuple[int, int] | None


@transaction.atomic
def propose_load(firing: Firing, *, by: User) -> Proposed:
    """Give every tile of the load a place, but for those that a person put somewhere, which stay.

    A tile whose shelf a person chose stays on that shelf. Witness cones without a spot stand at the front, where they
    are seen.
    """
    shelves = {shelf.position: shelf for shelf in firing.kiln.shelves.all()}
    rooms = [queries.room_for(shelf) for shelf in shelves.values()]
    rows = list(
        Placement.objects.select_for_update(of=("self",))
        .filter(firing=firing, tile__binned_at__isnull=True)
        .by_shelf()
    )
    stays = [row for row in rows if row.x_mm is not None and not row.proposed]
    free = [row for row in rows if row not in stays]
    fixed = [
        Standing(queries.piece_of(row, runs=row.on_cookie), row.shelf.position, row.x_mm or 0, row.y_mm or 0)
        for row in stays
        if row.shelf
    ]
    fixed += _stand_cones(firing, rooms, shelves, fixed, by)
    asked = _asked(firing, free, rooms)
    by_words = _by_words({row.pk: row.place for row in free}, asked, rooms, fixed)
    done = {one.piece.key for one in by_words}
    packed = pack(rooms, [piece for piece in asked if piece.key not in done], [*fixed, *by_words])
    packed = Packed((*by_words, *packed.standing), packed.left_out)
    undo = _keep_places(free, packed, shelves, {room.position: room for room in rooms}, by)
    labels = {row.pk: row.tile.label for row in free}
    left_out: dict[str, list[str]] = {}
    for left in packed.left_out:
        left_out.setdefault(left.why, []).append(labels[left.piece.key])
    return Proposed(len(packed.standing), len(packed.elsewhere), left_out, undo)


def _stand_cones(
    firing: Firing, rooms: Sequence[Room], shelves: dict[int, Shelf], fixed: Sequence[Standing], by: User
) -> list[Standing]:
    """Cone packs that name a shelf, at the front unless they stand somewhere already."""
    standing: list[Standing] = []
    for one in queries.cone_packs(firing):
        room = next((room for room in rooms if shelves[room.position].pk == one.shelf_id), None)
        if room is None:
            continue
        first = one.cones[0]
        if first.x_mm is None or first.y_mm is None:
            around = [other for other in (*fixed, *standing) if other.position == room.position]
            wanted = (one.piece, room.width_mm / 2, float(room.depth_mm))
            found = stand_near(room, [wanted], around)[0]
            if found is None:
                continue
            for cone in one.cones:
                _put_cone(cone, {"x_mm": found.x_mm, "y_mm": found.y_mm}, by)
        else:
            found = Standing(one.piece, room.position, first.x_mm, first.y_mm)
        standing.append(found)
    return standing


def _by_words(
    places: dict[int, str], asked: Sequence[Piece], rooms: Sequence[Room], fixed: Sequence[Standing]
) -> list[Standing]:
    """Tiles of which a person said shelf and place in words, as near to that as there is room."""
    found: list[Standing] = []
    for room in rooms:
        wanted = [
            (piece, *word_point(places[piece.key], room.width_mm, room.depth_mm))
            for piece in asked
            if piece.is_bound and piece.shelf == room.position and places[piece.key]
        ]
        around = [one for one in fixed if one.position == room.position]
        found += [one for one in stand_near(room, wanted, around) if one]
    return found


def _asked(firing: Firing, rows: Sequence[Placement], rooms: Sequence[Room]) -> list[Piece]:
    """The tiles to be placed: runners on cookies, on the shelf a person chose or their plan's blocks ask for."""
    known = {room.position for room in rooms}
    spots = _planned_spots(rows)
    facts = queries.facts_of(rows, None)
    pieces = []
    for row, tile in zip(rows, facts, strict=True):
        piece = queries.piece_of(row, runs=row.on_cookie or bool(tile.runners))
        spot = spots.get(row.tile.number)
        if spot and not piece.is_bound:
            shelf = spot.shelf if spot.shelf in known else None
            piece = Piece(
                piece.key, piece.width_mm, piece.depth_mm, piece.height_mm, piece.runs, shelf, turn=spot.place
            )
        pieces.append(piece)
    return pieces


def _planned_spots(rows: Sequence[Placement]) -> dict[int, Any]:
    series = Series.objects.filter(pk__in={row.tile.series_id for row in rows if row.tile.series_id})
    return {number: spot for one in series for number, spot in spread_of(one).items()}


def _keep_places(
    rows: Sequence[Placement], packed: Packed, shelves: dict[int, Shelf], rooms: dict[int, Room], by: User
) -> tuple[int, int] | None:
    found = {one.piece.key: one for one in packed.standing}
    for row in rows:
        if one := found.get(row.pk):
            row.shelf, row.on_cookie = shelves[one.position], one.piece.runs
            row.proposed = not one.piece.is_bound
            for name, value in _columns(one, rooms[one.position]).items():
                setattr(row, name, value)
        elif row.proposed:
            row.shelf = row.x_mm = row.y_mm = None
            row.place, row.proposed = "", False
    if not rows:
        return None
    last = _last_history_id()
    bulk_update_with_history(
        rows, Placement, ["shelf", "place", "x_mm", "y_mm", "on_cookie", "proposed"], default_user=by
    )
    conditions.refresh_tiles([row.tile_id for row in rows])
    return last + 1, _last_history_id()


@transaction.atomic
def leave_foreign_shelves(firing_ids: Iterable[int]) -> None:
    """After a firing moved to another kiln its tiles stand on no shelf, as those shelves are not there."""
    strayed = Placement.objects.filter(firing__in=list(firing_ids), shelf__isnull=False).exclude(
        shelf__kiln=F("firing__kiln")
    )
    for placement in strayed:
        _put(placement, {"shelf_id": None, "x_mm": None, "y_mm": None}, None)


def _sign(record: Any, by: User) -> None:
    """Let history say who, where no request tells it."""
    if by is not None:
        record._history_user = by
