"""What a public page shows: words fit for everybody, and photos under a seal."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.conf import settings
from django.db.models import QuerySet
from django.http import QueryDict
from django.urls import reverse

from firings.preferences import Preferences
from tiles import numbers
from tiles.boards.queries import headings, hung_in, slots_of
from tiles.models import Board, Photo, PhotoFiling, PublicPage, Tile
from tiles.photos.renditions import Size, size_within
from tiles.prints.cards import CardFacts
from tiles.prints.queries import card_facts, label_facts
from tiles.public.seal import WHOLE, seal
from tiles.ranges.queries import Pictured, RangeSheet, range_sheet
from tiles.tilepage.queries import newest_photos
from tiles.tray.parts.queries import PhotoPart, shown_of

MOST_PHOTOS = 8


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo as a public page shows it."""

    small: str
    large: str
    widths: str
    width: int
    height: int


def picture_of(page: PublicPage, photo: Photo | PhotoPart) -> Picture:
    """The sealed addresses of a photo, or of a tile's part of one."""
    share = photo.share.written if isinstance(photo, PhotoPart) else WHOLE
    sealed = seal(settings.SECRET_KEY, page.token, photo.sha256, share)

    def at(size: Size) -> str:
        return reverse("tiles:public:photo", args=[page.token, photo.sha256, share, sealed, size.value])

    widths = ", ".join(
        f"{at(size)} {size_within(photo.width, photo.height, size.longest_side_px)[0]}w" for size in Size
    )
    return Picture(at(Size.SMALL), at(Size.LARGE), widths, photo.width, photo.height)


@dataclass(frozen=True, slots=True)
class TileShown:
    """A tile for everybody."""

    card: CardFacts
    pictures: list[Picture]


def tile_shown(page: PublicPage, tile: Tile, preferences: Preferences) -> TileShown:
    """A tile's number, clay, firings and judgements without anybody's remarks, and its photos."""
    (card,) = card_facts([tile], preferences, remarks=False)
    filings = PhotoFiling.objects.filter(tile=tile, photo__binned_at__isnull=True, photo__damage="")
    newest = filings.select_related("photo").order_by("-filed_at", "-pk")[:MOST_PHOTOS]
    photos = {(shown.sha256, str(shown)): shown for shown in map(shown_of, newest)}
    return TileShown(card, [picture_of(page, photo) for photo in photos.values()])


@dataclass(frozen=True, slots=True)
class SheetCell:
    """A cell of a public range sheet; `address` is the public page of its tile, where there is one."""

    place: Pictured
    picture: Picture | None
    address: str


@dataclass(frozen=True, slots=True)
class SheetShown:
    """A range sheet for everybody."""

    sheet: RangeSheet
    lines: list[tuple[str, list[SheetCell]]]


def sheet_shown(page: PublicPage) -> SheetShown:
    """The range sheet of the page's glaze, as it stands now."""
    assert page.glaze is not None
    sheet = range_sheet(page.glaze, QueryDict(page.query).dict())
    tiles = {place.outcome.tile_id for line in sheet.lines for place in line.cells if place.outcome}
    addresses = public_addresses(tiles)

    def cell(place: Pictured) -> SheetCell:
        picture = picture_of(page, place.photo) if place.photo else None
        return SheetCell(place, picture, addresses.get(place.outcome.tile_id, "") if place.outcome else "")

    lines = [(line.level.words, [cell(place) for place in line.cells]) for line in sheet.lines]
    return SheetShown(sheet, lines)


@dataclass(frozen=True, slots=True)
class Hung:
    """A slot of a public board: its tile in few words, or nothing."""

    number: str
    stack: str
    conditions: str
    picture: Picture | None
    address: str


@dataclass(frozen=True, slots=True)
class BoardShown:
    """A board for everybody: the words over its columns, and its rows, each slot with its column's words."""

    columns: list[str]
    rows: list[tuple[str, list[tuple[str, Hung | None]]]]

    @property
    def is_headed(self) -> bool:
        return any(self.columns) or any(words for words, _ in self.rows)

    @property
    def hung_count(self) -> int:
        return sum(hung is not None for _, slots in self.rows for _, hung in slots)


def board_shown(page: PublicPage, preferences: Preferences) -> BoardShown:
    """The page's board as it hangs, under the headings that a rule gave it and that still hold."""
    assert page.board is not None
    board = page.board
    by_place = hung_in(slots_of(board))
    tiles = list(by_place.values())
    facts = dict(zip((tile.pk for tile in tiles), label_facts(tiles, preferences), strict=True))
    photos, addresses = newest_photos(facts), public_addresses(facts)
    row_words, column_words = headings(board, {place: tile.pk for place, tile in by_place.items()})

    def hung(tile: Tile | None) -> Hung | None:
        if tile is None:
            return None
        said, photo = facts[tile.pk], photos.get(tile.pk)
        picture = picture_of(page, photo) if photo else None
        return Hung(said.number, said.stack, said.conditions, picture, addresses.get(tile.pk, ""))

    columns = range(1, board.columns + 1)
    return BoardShown(
        [column_words.get(column, "") for column in columns],
        [
            (
                row_words.get(row, ""),
                [(column_words.get(column, ""), hung(by_place.get((row, column)))) for column in columns],
            )
            for row in range(1, board.rows + 1)
        ],
    )


def public_addresses(tiles: Iterable[int]) -> dict[int, str]:
    """For tiles, by their keys, the address of their public page; those without one are left out."""
    rows = PublicPage.objects.standing().filter(tile__in=list(tiles)).values_list("tile_id", "token")
    return {tile: reverse("tiles:public:page", args=[token]) for tile, token in rows}


def public_address(label: str) -> str:
    """The address of a tile's public page by the tile's number as scanned; nothing where it has none."""
    try:
        number = numbers.read(label)
    except ValueError:
        return ""
    token = PublicPage.objects.standing().filter(tile__number=number).values_list("token", flat=True).first()
    return reverse("tiles:public:page", args=[token]) if token else ""


def public_address_of_board(board: Board) -> str:
    """The address of a board's public page; nothing where it has none."""
    token = PublicPage.objects.standing().filter(board=board).values_list("token", flat=True).first()
    return reverse("tiles:public:page", args=[token]) if token else ""


def pages() -> QuerySet[PublicPage]:
    """All pages that ever were public, newest first, with what they are of."""
    return PublicPage.objects.select_related("tile", "glaze", "board", "made_by")
