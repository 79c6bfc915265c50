"""Boards as they hang, and the tiles a rule may choose from, each in a number of queries that does not grow."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, product
from urllib.parse import urlencode

from django.db.models import Count, Exists, OuterRef, Q, QuerySet
from django.urls import reverse

from firings.cones import series as cones
from firings.preferences import Preferences
from firings.vocabulary import Atmosphere
from tiles import numbers
from tiles.boards.layout import ELSE, TOGETHER, Axis, Candidate, Level, Slot, planned
from tiles.boards.outlook import Outlook, by_rule
from tiles.conditions.facts import LayerFacts
from tiles.conditions.queries import stacks_of
from tiles.models import (
    Board,
    BoardSlot,
    Glaze,
    Layer,
    Outcome,
    Photo,
    PhotoFiling,
    SavedSearch,
    Series,
    Tile,
)
from tiles.prints.labels import LabelFacts
from tiles.prints.queries import label_facts
from tiles.search.queries import tile_numbers_of
from tiles.tilepage.queries import newest_photos
from tiles.tray.parts.queries import PhotoPart
from tiles.vocabulary import Verdict

# So many tiles are looked through for a board, the newest first.
MOST_TILES = 2_000
COLUMNS = (
    *("pk", "tile_id", "tile__number", "firing_count", "reached_order", "body_id", "body__name"),
    *("atmosphere", "hold_min", "form_id", "form__name", "coats_total", "verdict", "judged_at"),
)


@dataclass(frozen=True, slots=True)
class Hung:
    """A tile that hangs on a board, as a slot shows it."""

    tile: Tile
    words: LabelFacts
    photo: Photo | PhotoPart | None


@dataclass(frozen=True, slots=True)
class Place:
    """A slot of a board: what hangs there, or what should; `plan` is where that is planned."""

    row: int
    column: int
    hung: Hung | None
    wanted: str
    plan: str

    @property
    def name(self) -> str:
        """Stands for it in a form."""
        return f"{self.row}.{self.column}"

    @property
    def seen(self) -> str:
        """What stood here when the page was drawn, so that nobody's change is overwritten unseen."""
        return seen_of(self.hung.tile if self.hung else None, self.wanted)


@dataclass(frozen=True, slots=True)
class BoardPage:
    """A board row by row, with the words that head its rows and columns where a rule laid it out and they hold."""

    board: Board
    columns: list[str]
    rows: list[tuple[str, list[Place]]]

    @property
    def places(self) -> list[Place]:
        return [place for _, places in self.rows for place in places]

    @property
    def hung_count(self) -> int:
        return sum(place.hung is not None for place in self.places)

    @property
    def wanted_count(self) -> int:
        return sum(place.hung is None and bool(place.wanted) for place in self.places)

    @property
    def free_count(self) -> int:
        return len(self.places) - self.hung_count - self.wanted_count

    @property
    def is_headed(self) -> bool:
        return any(self.columns) or any(heading for heading, _ in self.rows)

    @property
    def tiles(self) -> str:
        """The numbers of the tiles that hang there, for an address."""
        return ",".join(place.hung.tile.label for place in self.places if place.hung)


def seen_of(tile: Tile | None, wanted: str) -> str:
    """A slot's content in few letters."""
    return f"{tile.label if tile else ''}|{wanted}"


def boards() -> QuerySet[Board]:
    """All boards with how many tiles hang on each, and how many slots want one."""
    hangs = Q(slots__tile__isnull=False, slots__tile__binned_at__isnull=True)
    wants = Q(slots__tile__isnull=True) & ~Q(slots__wanted="")
    return Board.objects.annotate(
        hung_count=Count("slots", filter=hangs), wanted_count=Count("slots", filter=wants)
    )


def slots_of(board: Board, at: Slot | None = None) -> dict[Slot, BoardSlot]:
    """The slots that were ever used, or one of them, with their tiles."""
    found = BoardSlot.objects.filter(board=board).select_related("tile__body", "tile__form")
    if at is not None:
        found = found.filter(row=at[0], column=at[1])
    return {(slot.row, slot.column): slot for slot in found}


def board_page(board: Board, preferences: Preferences) -> BoardPage:
    """Everything a board's page and its map show."""
    slots = slots_of(board)
    row_words, column_words = headings(board, {place: tile.pk for place, tile in hung_in(slots).items()})
    places = _places(
        board, product(range(1, board.rows + 1), range(1, board.columns + 1)), slots, preferences
    )
    return BoardPage(
        board,
        [column_words.get(column, "") for column in range(1, board.columns + 1)],
        [(row_words.get(row, ""), list(islice(places, board.columns))) for row in range(1, board.rows + 1)],
    )


def place_of(board: Board, at: Slot, preferences: Preferences) -> Place:
    """What one slot's page shows."""
    return next(_places(board, [at], slots_of(board, at), preferences))


def hung_in(slots: Mapping[Slot, BoardSlot]) -> dict[Slot, Tile]:
    """The tile in each slot that holds one; a tile in the bin hangs nowhere."""
    return {place: slot.tile for place, slot in slots.items() if slot.tile and not slot.tile.is_binned}


def _places(
    board: Board, at: Iterable[Slot], slots: Mapping[Slot, BoardSlot], preferences: Preferences
) -> Iterator[Place]:
    tiles = hung_in(slots)
    hung_tiles = list(tiles.values())
    words = dict(zip((tile.pk for tile in hung_tiles), label_facts(hung_tiles, preferences), strict=True))
    photos = newest_photos(words)
    for row, column in at:
        tile, slot = tiles.get((row, column)), slots.get((row, column))
        hung = Hung(tile, words[tile.pk], photos.get(tile.pk)) if tile else None
        wanted = slot.wanted if slot and not tile else ""
        plan = plan_of(board, row, column) if wanted else ""
        yield Place(row, column, hung, wanted, plan)


def headings(board: Board, hung: Mapping[Slot, int]) -> tuple[dict[int, str], dict[int, str]]:
    """The words over rows and columns that a rule gave, but for those that what hangs there now belies."""
    rule = _rule_of(board)
    if rule is None:
        return {}, {}
    across, down, columns, rows = rule
    levels = {one.key: one.levels for one in candidates(Tile.objects.filter(pk__in=list(hung.values())))}
    row_words = {place: words for place, (_, words) in enumerate(rows, start=1)}
    column_words = {place: words for place, (_, words) in enumerate(columns, start=1)}
    for (row, column), tile in hung.items():
        seen = levels.get(tile, {})
        if row <= len(rows) and (down not in seen or seen[down].value != rows[row - 1][0]):
            row_words.pop(row, None)
        if column <= len(columns) and (across not in seen or seen[across].value != columns[column - 1][0]):
            column_words.pop(column, None)
    return row_words, column_words


Rule = tuple[Axis, Axis, list[tuple[str, str]], list[tuple[str, str]]]


def _rule_of(board: Board) -> Rule | None:
    rule = board.rule
    try:
        return Axis(rule["across"]), Axis(rule["down"]), list(rule["columns"]), list(rule["rows"])
    except (KeyError, ValueError, TypeError):
        return None


def plan_of(board: Board, row: int, column: int) -> str:
    """Where the tile that is missing at a slot is planned; what the rule knows of it is filled in."""
    pairs: dict[str, str] = {}
    rule = _rule_of(board)
    if rule is not None and row <= len(rule[3]) and column <= len(rule[2]):
        across, down, columns, rows = rule
        if glaze := board.rule.get("glaze"):
            pairs["glaze"] = str(glaze)
        pairs.update(planned(down, rows[row - 1][0]))
        pairs.update(planned(across, columns[column - 1][0]))
    query = urlencode(pairs)
    return f"{reverse('tiles:planner:new')}{'?' if query else ''}{query}"


@dataclass(frozen=True, slots=True)
class Source:
    """Which tiles a rule chooses from; what is not said does not matter, and what is said must all be true."""

    glaze: Glaze | None = None
    series: Series | None = None
    saved: SavedSearch | None = None
    numbers: tuple[int, ...] = ()
    results: str = ""

    @property
    def says_nothing(self) -> bool:
        return not (self.glaze or self.series or self.saved or self.numbers or self.results)


def tiles_from(source: Source) -> QuerySet[Tile]:
    """The tiles of a source."""
    found = Tile.objects.all()
    if source.glaze:
        found = found.filter(Exists(Layer.objects.filter(tile=OuterRef("pk"), glaze=source.glaze)))
    if source.series:
        found = found.filter(series=source.series)
    if source.numbers:
        found = found.filter(number__in=source.numbers)
    for query in filter(None, (source.results, source.saved.query if source.saved else "")):
        found = found.filter(number__in=[numbers.read(label) for label in tile_numbers_of(query)])
    return found


def candidates(tiles: QuerySet[Tile]) -> list[Candidate]:
    """Fired tiles, each with where it stands on every condition after its last firing; three queries."""
    keys = list(tiles.order_by("-number").values_list("pk", flat=True)[:MOST_TILES])
    fired = Outcome.objects.fired().filter(tile__in=keys, firing__binned_at__isnull=True)
    by_tile: dict[int, list[dict[str, object]]] = defaultdict(list)
    for row in fired.order_by("tile", "zone__position").values(*COLUMNS):
        by_tile[row["tile_id"]].append(row)
    last = {
        tile: [row for row in rows if row["firing_count"] == max(one["firing_count"] for one in rows)]  # type: ignore[type-var]
        for tile, rows in by_tile.items()
    }
    layers = stacks_of(int(str(row["pk"])) for rows in last.values() for row in rows)
    pictured = set(
        PhotoFiling.objects.filter(tile__in=list(last), photo__binned_at__isnull=True)
        .order_by()
        .values_list("tile", flat=True)
    )
    return [_candidate(rows, layers, is_pictured=tile in pictured) for tile, rows in last.items()]


def _candidate(
    rows: Sequence[Mapping[str, object]], layers: Mapping[int, tuple[LayerFacts, ...]], *, is_pictured: bool
) -> Candidate:
    first = rows[0]
    reached = next((row["reached_order"] for row in rows if row["reached_order"] is not None), None)
    atmosphere = Atmosphere(str(first["atmosphere"]))
    hold = int(str(first["hold_min"]))
    levels = {
        Axis.BODY: _named(first["body_id"], first["body__name"]),
        Axis.FORM: _named(first["form_id"], first["form__name"]),
        Axis.ATMOSPHERE: Level(atmosphere.value, atmosphere.label, (list(Atmosphere).index(atmosphere), "")),
        Axis.HOLD: Level(str(hold), f"hold {hold} min" if hold else "no hold", (hold, "")),
        Axis.GLAZE: _glazes([layers.get(int(str(row["pk"])), ()) for row in rows]),
    }
    if reached is not None:
        order = int(str(reached))
        levels[Axis.CONE] = Level(str(order), f"cone {cones.label_of(order)}", (order, ""))
    if coats := sorted({int(str(row["coats_total"])) for row in rows if row["coats_total"]}):
        levels[Axis.COATS] = _coats(coats)
    worth = (
        int(any(row["verdict"] == Verdict.KEEP.value for row in rows)),
        int(is_pictured),
        int(any(row["judged_at"] is not None for row in rows)),
    )
    return Candidate(int(str(first["tile_id"])), int(str(first["tile__number"])), levels, worth)


def _named(key: object, name: object) -> Level:
    return Level(str(key), str(name), (0, str(name).casefold()))


def _coats(coats: Sequence[int]) -> Level:
    words = ", ".join(map(str, coats)) + (" coat" if list(coats) == [1] else " coats")
    return Level(ELSE.join(map(str, coats)), words, (coats[0], ELSE.join(f"{one:02}" for one in coats)))


def _glazes(stacks: Iterable[tuple[LayerFacts, ...]]) -> Level:
    """The glazes of a tile, bottom to top, those of its zones that differ with a stroke between."""
    each = {TOGETHER.join(str(layer.glaze_id) for layer in stack): stack for stack in stacks}
    words = " / ".join(" + ".join(layer.glaze for layer in stack) or "bare clay" for stack in each.values())
    return Level(ELSE.join(each), words, (max(map(len, each.values()), default=0), words.casefold()))


def unfired_count(tile_count: int, found: Sequence[Candidate]) -> int:
    """How many of the tiles that were looked through have been through no glaze firing yet."""
    return max(0, min(tile_count, MOST_TILES) - len(found))


def hanging_elsewhere(board: Board, tiles: Iterable[int]) -> dict[int, BoardSlot]:
    """Of these tiles, by their keys, those that hang on another board now."""
    slots = BoardSlot.objects.filter(tile__in=list(tiles), board__binned_at__isnull=True).exclude(board=board)
    return {slot.tile_id: slot for slot in slots.select_related("board", "tile") if slot.tile_id}


def outlook_on(board: Board, source: Source, across: Axis, down: Axis | None, *, take: bool) -> Outlook:
    """What laying a board out comes to; tiles of other boards are left there, unless they are to be taken."""
    tiles = tiles_from(source)
    found = fired = candidates(tiles)
    tile_count = tiles.count()
    elsewhere = hanging_elsewhere(board, (one.key for one in found))
    if not take:
        found = [one for one in found if one.key not in elsewhere]
    laid = by_rule(found, across, down, board.columns)
    labels = {one.key: numbers.write(one.number) for one in found}
    return Outlook(
        laid,
        labels,
        tuple(labels[key] for key in laid.spare),
        tuple(labels[key] for key in laid.unknown),
        unfired_count(tile_count, fired),
        tuple(f"{slot.tile.label} ({slot.board})" for slot in elsewhere.values() if slot.tile),
        max(0, tile_count - MOST_TILES),
    )
