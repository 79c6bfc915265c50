"""The kinds of print that live here, from what is stored."""

from collections.abc import Sequence

from firings.preferences import Preferences
from tiles.photos.mat_sheet import SHEETS
from tiles.photos.renditions import Size
from tiles.prints import cards, labels, mat, queries
from tiles.prints.cards import PAPERS, CardJob
from tiles.prints.kinds import Asked, Kind, Option
from tiles.prints.labels import LabelJob
from tiles.prints.marks import Note, gathered
from tiles.prints.paper import Page

NUMBERS_SHOWN = 4
NOTHING_THERE = "The tiles it was of are gone."


def option(asked: Asked, name: str, options: Sequence[Option]) -> str:
    """What was chosen, or what is usual where nothing was, or nothing that can be."""
    choice = next(one for one in options if one.name == name)
    said = asked.options.get(name, "")
    return said if any(said == value for value, _ in choice.choices) else choice.choices[0][0]


def usual_first(choices: Sequence[tuple[str, str]], usual: str) -> list[tuple[str, str]]:
    """The same choices with the usual one in front, where it is among them."""
    return sorted(choices, key=lambda pair: pair[0] != usual)


def tiles_words(asked: Asked) -> str:
    """The numbers of the tiles: 1042-9, 1043-5 and 7 more."""
    if not queries.selection(" ".join(asked.keys)).tiles:
        raise LookupError("There are no tiles of these numbers.")
    return numbers_words(asked.keys)


def numbers_words(numbers: Sequence[str]) -> str:
    """
    >>> numbers_words(["1042-9", "1043-5"])
    '1042-9, 1043-5'
    """
    more = len(numbers) - NUMBERS_SHOWN
    shown = ", ".join(numbers[:NUMBERS_SHOWN])
    return f"{shown} and {more} more" if more > 0 else shown


def card_options(preferences: Preferences) -> Sequence[Option]:
    """Size and paper of cards."""
    sizes = [(key, size.name) for key, size in cards.SIZES.items()]
    papers = [(name, name) for name in PAPERS]
    return (
        Option("size", "Card size", usual_first(sizes, "medium")),
        Option("paper", "Paper", usual_first(papers, preferences.paper)),
    )


def label_options(preferences: Preferences) -> Sequence[Option]:
    """Stock of labels, with codes or without."""
    choices = queries.stock_choices()
    usual = queries.usual_stock(choices, preferences.paper).key
    stocks = [(choice.key, choice.stock.name) for choice in choices]
    return (
        Option("stock", "Label sheet or roll", usual_first(stocks, usual)),
        Option("codes", "QR code", (("yes", "with code"), ("no", "without"))),
    )


def card_job(asked: Asked) -> CardJob:
    """How cards are printed."""
    options = card_options(asked.preferences)
    return CardJob(
        size=option(asked, "size", options),
        paper=option(asked, "paper", options),
        studio=asked.preferences.studio_name,
    )


def stock_key_of(asked: Asked) -> str:
    """The stock that was chosen, or the usual one."""
    return option(asked, "stock", label_options(asked.preferences))


def label_job(asked: Asked) -> LabelJob:
    """How labels are printed, on what is left of the person's sheet of that stock."""
    key = stock_key_of(asked)
    return LabelJob(
        stock=queries.stock_named(key),
        used=frozenset(queries.used_cells(asked.person, key)),
        codes=asked.options.get("codes") != "no",
        studio=asked.preferences.studio_name,
    )


def _cards(asked: Asked) -> list[Page]:
    job = card_job(asked)
    photo_size = (Size.LARGE if job.size == "large" else Size.MEDIUM) if asked.for_paper else None
    found = _found(asked)
    return cards.pages_of(queries.card_facts(found, asked.preferences, photo_size=photo_size), job)


def _card_notes(asked: Asked) -> list[Note]:
    return gathered(cards.notes_on(queries.card_facts(_found(asked), asked.preferences), card_job(asked)))


def _labels(asked: Asked) -> list[Page]:
    return labels.pages_of(queries.label_facts(_found(asked), asked.preferences), label_job(asked))


def _label_notes(asked: Asked) -> list[Note]:
    return gathered(labels.notes_on(queries.label_facts(_found(asked), asked.preferences), label_job(asked)))


def _found(asked: Asked) -> list[queries.Tile]:
    tiles = queries.selection(" ".join(asked.keys)).tiles
    if not tiles:
        raise LookupError(NOTHING_THERE)
    return tiles


def _mat_options(preferences: Preferences) -> Sequence[Option]:
    sheets = [(key, sheet.name) for key, sheet in SHEETS.items()]
    usual = next(key for key, sheet in SHEETS.items() if sheet.name == preferences.paper)
    return (Option("sheet", "Sheet", usual_first(sheets, usual)),)


def _mat_words(asked: Asked) -> str:
    return "to photograph tiles on"


def _mats(asked: Asked) -> list[Page]:
    sheet = SHEETS[option(asked, "sheet", _mat_options(asked.preferences))]
    return [mat.page_of(sheet, mat.largest_that_fits(queries.outlines(), sheet))]


CARDS = Kind(
    "cards",
    "tile card",
    "tile cards",
    "tiles.view_tile",
    says=tiles_words,
    pages=_cards,
    notes=_card_notes,
    options=card_options,
    joins=True,
)
LABELS = Kind(
    "labels",
    "label",
    "labels",
    "tiles.view_tile",
    says=tiles_words,
    pages=_labels,
    notes=_label_notes,
    options=label_options,
    joins=True,
)
PHOTO_MAT = Kind(
    "photo-mat",
    "photo mat",
    "photo mats",
    "tiles.view_tile",
    says=_mat_words,
    pages=_mats,
    options=_mat_options,
)
