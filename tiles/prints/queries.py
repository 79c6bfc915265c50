"""Which tiles are to be printed, and the facts of their cards and labels in a constant number of queries."""

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from django.db.models import F

from firings.cones import series
from firings.models import Firing, User
from firings.preferences import Preferences
from firings.vocabulary import Atmosphere, ReachedSource
from tiles import numbers
from tiles.colour.swatch import BEYOND, figures_of, hex_of, is_in_gamut
from tiles.colour.wording import basis_words
from tiles.conditions import line, stack
from tiles.conditions.facts import LayerFacts
from tiles.conditions.queries import conditions_of, layers_by_zone, stacked_facts
from tiles.models import LabelStock, Outcome, Photo, PhotoFiling, Tile, TileForm, UsedSheet, Zone
from tiles.photos.accept import EXTENSIONS
from tiles.photos.queries import photo_store
from tiles.photos.renditions import Size
from tiles.places.queries import where_of
from tiles.prints.cards import PAPERS, CardFacts, FiringWords, ZoneWords
from tiles.prints.labels import LabelFacts
from tiles.prints.mat import Outline
from tiles.prints.stock import KNOWN, Stock
from tiles.prints.summary import conditions_words, stacks_words
from tiles.search.queries import tile_numbers_of
from tiles.tilepage.judged import judged_words
from tiles.tray.parts.queries import PhotoPart, shown_of
from tiles.tray.parts.services import path_of
from tiles.vocabulary import FlawKind, Severity, Verdict

NOT_FIRED = "Not fired yet"


@dataclass(slots=True)
class Selection:
    """The tiles to print, in order; what was asked for and could not be found; and what to call them."""

    tiles: list[Tile] = field(default_factory=list)
    troubles: list[str] = field(default_factory=list)
    title: str = ""


@dataclass(frozen=True, slots=True)
class StockChoice:
    """Label stock to choose: its key in an address, its numbers, and its record where the studio saved it."""

    key: str
    stock: Stock
    saved: LabelStock | None = None


def selection(typed: str = "", firing: str = "", results: str = "") -> Selection:
    """Tiles by typed numbers, of a firing, and of a search's query string; each tile once."""
    found = Selection()
    wanted = [*_typed(typed, found), *_in_firing(firing, found), *_in_results(results)]
    by_number = {tile.number: tile for tile in Tile.objects.for_lists().filter(number__in=set(wanted))}
    found.tiles = [by_number[number] for number in dict.fromkeys(wanted) if number in by_number]
    missing = [numbers.write(number) for number in dict.fromkeys(wanted) if number not in by_number]
    if missing:
        found.troubles.append(f"No tile here has the number {', '.join(missing)}.")
    found.title = found.title or _title(found.tiles)
    return found


def _typed(text: str, found: Selection) -> Iterator[int]:
    for word in re.split(r"[\s,;]+", text.strip()):
        try:
            if word:
                yield numbers.read(word)
        except ValueError as trouble:
            found.troubles.append(str(trouble))


def _in_firing(text: str, found: Selection) -> list[int]:
    """Tiles of a firing, in the order one unloads them."""
    if not text.strip():
        return []
    digits = re.fullmatch(r"(?:F-?)?0*([0-9]{1,7})", text.strip(), re.IGNORECASE)
    firing = Firing.objects.filter(number=int(digits[1])).first() if digits else None
    if firing is None:
        found.troubles.append(f"There is no firing {text.strip()}. Write its number, such as 231.")
        return []
    found.title = f"Firing {firing.label}"
    placed = firing.placements.filter(tile__binned_at__isnull=True).order_by(
        F("shelf__position").desc(nulls_last=True), "tile__number"
    )
    return list(placed.values_list("tile__number", flat=True))


def _in_results(query: str) -> list[int]:
    return [numbers.read(label) for label in tile_numbers_of(query)] if query.strip() else []


def _title(tiles: Sequence[Tile]) -> str:
    if not tiles:
        return ""
    return f"Tile {tiles[0].label}" if len(tiles) == 1 else f"{len(tiles)} tiles"


def label_facts(tiles: Sequence[Tile], preferences: Preferences) -> list[LabelFacts]:
    """What the tiles' labels say. Seven queries whatever their number."""
    outcomes, unfired = _results_and_stacks(tiles)
    return [
        LabelFacts(
            number=tile.label,
            stack=stacks_words(
                [_stack(outcome) for outcome in _latest(outcomes[tile.pk])]
                or [layers for _, layers in unfired[tile.pk]]
            ),
            conditions=f"{tile.body.name} · {_heat_words(tile, outcomes[tile.pk])}",
            address=preferences.address,
            line=_line_words(_latest(outcomes[tile.pk])),
        )
        for tile in tiles
    ]


def card_facts(
    tiles: Sequence[Tile],
    preferences: Preferences,
    *,
    photo_size: Size | None = None,
    remarks: bool = True,
) -> list[CardFacts]:
    """What the tiles' cards say. Eleven queries whatever their number.

    Without a size no photograph is prepared, only named: enough to lay a card out, not to draw it. `remarks` are what
    people wrote in their own words and where tiles are kept; a page for everybody leaves both out.
    """
    kept = where_of(tiles) if remarks else {}
    outcomes, unfired = _results_and_stacks(tiles)
    pictures = {
        tile_id: picture_for_paper(shown_of(filing), photo_size)
        for tile_id, filing in best_filings(tiles).items()
    }
    return [
        CardFacts(
            number=tile.label,
            body=tile.body.name,
            form=tile.form.name,
            firings=_firings(outcomes[tile.pk], preferences, remarks=remarks)
            or (_before_firing(unfired[tile.pk]),),
            address=preferences.address,
            photo=pictures.get(tile.pk),
            studio=preferences.studio_name,
            where=kept[tile.pk].words if tile.pk in kept else "",
        )
        for tile in tiles
    ]


def best_filings(tiles: Iterable[Tile]) -> dict[int, PhotoFiling]:
    """For each tile the photo that shows it best: after its last firing, the whole tile, taken last."""
    filings = PhotoFiling.objects.filter(tile__in=tiles, photo__binned_at__isnull=True)
    best_last = filings.select_related("photo").order_by(
        F("placement__sequence").asc(nulls_first=True),
        F("zone").desc(nulls_last=True),
        F("photo__taken_at").asc(nulls_first=True),
        "filed_at",
        "pk",
    )
    return {filing.tile_id: filing for filing in best_last}


def best_photo(tiles: Sequence[Tile]) -> Photo | PhotoPart | None:
    """The photo on the card of the first of these tiles."""
    return next((shown_of(filing) for filing in best_filings(tiles[:1]).values()), None)


def stock_choices() -> list[StockChoice]:
    """The studio's own stock first, then the sizes known everywhere."""
    own = [StockChoice(saved_key(saved.pk), stock_of(saved), saved) for saved in LabelStock.objects.all()]
    return [*own, *(StockChoice(_key(stock), stock) for stock in KNOWN)]


def usual_stock(choices: Sequence[StockChoice], paper: str) -> StockChoice:
    """The stock nobody had to choose: the studio's own first, else the first one on its paper."""
    width_mm = PAPERS[paper][0]
    own = next((choice for choice in choices if choice.saved), None)
    return own or next(choice for choice in choices if choice.stock.sheet_width_mm == width_mm)


def stock_named(key: str) -> Stock:
    """The stock of a key. Raises LookupError with a sentence for people where there is none."""
    for choice in stock_choices():
        if choice.key == key:
            return choice.stock
    raise LookupError("There is no such label stock any more.")


def numbers_like(key: str) -> dict[str, Any]:
    """The numbers of a stock to begin another one with, without its name."""
    for choice in stock_choices():
        if choice.key == key:
            numbers_of = asdict(choice.stock)
            numbers_of["name"] = ""
            return {name: _bare(number) for name, number in numbers_of.items()}
    return {}


def _bare(number: Any) -> Any:
    return f"{number:g}" if isinstance(number, float) else number


def used_cells(person: User | None, stock_key: str) -> list[int]:
    """The labels that are gone from the person's sheet of a stock."""
    sheet = UsedSheet.objects.filter(person=person, stock_key=stock_key).first() if person else None
    return sheet.used if sheet else []


def outlines() -> list[Outline]:
    """The faces of all forms, for the mat."""
    return [Outline(form.name, form.width_mm, form.height_mm) for form in TileForm.objects.all()]


def saved_key(pk: int) -> str:
    """What stands for a saved stock in an address."""
    return f"own-{pk}"


def stock_of(saved: LabelStock) -> Stock:
    """Saved stock as the numbers that are drawn with."""
    return Stock(
        name=saved.name,
        columns=saved.columns,
        rows=saved.rows,
        **{
            name: float(getattr(saved, name))
            for name in (
                "sheet_width_mm",
                "sheet_height_mm",
                "label_width_mm",
                "label_height_mm",
                "margin_left_mm",
                "margin_top_mm",
                "pitch_x_mm",
                "pitch_y_mm",
                "corner_radius_mm",
            )
        },
    )


def _key(stock: Stock) -> str:
    """A name fit for an address that stays when the list grows: a4-3x8-63.5x33.9."""
    return re.sub(r"[^a-z0-9.]+", "-", stock.name.lower().replace(" × ", "x")).strip("-")


def _outcomes_by_tile(tiles: Sequence[Tile]) -> dict[int, list[Outcome]]:
    """Fired outcomes of each tile, first firing first, zones in order."""
    by_tile: dict[int, list[Outcome]] = defaultdict(list)
    fired = Outcome.objects.for_display().fired().filter(tile__in=tiles, firing__binned_at__isnull=True)
    for outcome in fired.order_by("firing_count", "zone__position"):
        by_tile[outcome.tile_id].append(outcome)
    return by_tile


def _results_and_stacks(
    tiles: Sequence[Tile],
) -> tuple[dict[int, list[Outcome]], dict[int, list[tuple[str, tuple[LayerFacts, ...]]]]]:
    """Fired outcomes of each tile, and of those without any what lies on their zones now."""
    outcomes = _outcomes_by_tile(tiles)
    return outcomes, _stacks_of_unfired([tile for tile in tiles if tile.pk not in outcomes])


def _stacks_of_unfired(tiles: Sequence[Tile]) -> dict[int, list[tuple[str, tuple[LayerFacts, ...]]]]:
    """Zone by zone what lies on each tile now, zones without glaze left out."""
    zones = list(Zone.objects.filter(tile__in=tiles).order_by("position"))
    layers = layers_by_zone([zone.pk for zone in zones])
    by_tile: dict[int, list[tuple[str, tuple[LayerFacts, ...]]]] = defaultdict(list)
    for zone in zones:
        if on_zone := tuple(facts for _, facts in layers[zone.pk]):
            by_tile[zone.tile_id].append((zone.name, on_zone))
    return by_tile


def _by_firing(outcomes: Sequence[Outcome]) -> list[list[Outcome]]:
    by_firing: dict[int, list[Outcome]] = defaultdict(list)
    for outcome in outcomes:
        by_firing[outcome.firing_count].append(outcome)
    return list(by_firing.values())


def _latest(outcomes: Sequence[Outcome]) -> list[Outcome]:
    return _by_firing(outcomes)[-1] if outcomes else []


def _stack(outcome: Outcome) -> tuple[LayerFacts, ...]:
    return tuple(stacked_facts(row) for row in outcome.stacked.all())


def _firings(
    outcomes: Sequence[Outcome], preferences: Preferences, *, remarks: bool
) -> tuple[FiringWords, ...]:
    return tuple(
        FiringWords(
            heading=_heading(of_firing[0]),
            conditions=_line_words(of_firing),
            zones=tuple(
                ZoneWords(
                    outcome.zone.name,
                    stack.stack_words(_stack(outcome)),
                    _judgement(outcome, preferences, remarks=remarks),
                    *_colour(outcome),
                )
                for outcome in of_firing
            ),
        )
        for of_firing in _by_firing(outcomes)
    )


def _line_words(outcomes: Sequence[Outcome]) -> str:
    """The conditions lines of the zones of one tile after one firing, what they share said once."""
    lines = [(outcome.zone.name, line.conditions_line(conditions_of(outcome))) for outcome in outcomes]
    return conditions_words(lines) if lines else ""


def _heading(outcome: Outcome) -> str:
    day = f" · {line.date_words(outcome.fired_on)}" if outcome.fired_on else ""
    return f"{outcome.firing.label}{day}"


def _before_firing(zones: Sequence[tuple[str, tuple[LayerFacts, ...]]]) -> FiringWords:
    """A tile that waits for the kiln: its stacks, and that it was not fired."""
    return FiringWords(
        heading=NOT_FIRED,
        conditions="",
        zones=tuple(ZoneWords(name, stack.stack_words(layers)) for name, layers in zones),
    )


def _judgement(outcome: Outcome, preferences: Preferences, *, remarks: bool) -> str:
    """What was seen, its flaws, the verdict and, where asked for, the remark, in words."""
    if not outcome.is_judged:
        return ""
    flaws = ", ".join(
        f"{Severity.label_of(flaw.severity)} {FlawKind.label_of(flaw.kind)}" for flaw in outcome.flaws.all()
    )
    said = (
        judged_words(outcome, preferences.length_unit),
        flaws,
        Verdict.label_of(outcome.verdict),
        outcome.remark if remarks else "",
    )
    return "; ".join(part for part in said if part)


def _colour(outcome: Outcome) -> tuple[str, str]:
    """The measured colour's patch, and in words what it is, how it was measured and whether sRGB holds it."""
    if outcome.lab_l is None or outcome.lab_a is None or outcome.lab_b is None:
        return "", ""
    lab = (outcome.lab_l, outcome.lab_a, outcome.lab_b)
    words = (figures_of(*lab), basis_words(outcome.lab_basis), "" if is_in_gamut(*lab) else BEYOND)
    return hex_of(*lab), ", ".join(filter(None, words))


def _heat_words(tile: Tile, outcomes: Sequence[Outcome]) -> str:
    """Cone and atmosphere of each firing the tile went through."""
    if not outcomes:
        return (
            f"planned for cone {series.label_of(tile.planned_order)}"
            if tile.planned_order
            else "not fired yet"
        )
    return ", then ".join(_fired_words(of_firing[0]) for of_firing in _by_firing(outcomes))


def _fired_words(outcome: Outcome) -> str:
    """cone 6, reached 5.8, oxidation; the reached cone only where something was read."""
    target = f"cone {series.label_of(outcome.target_order)}" if outcome.target_order else ""
    number, is_read = outcome.reached_number, outcome.reached_source != ReachedSource.TARGET.value
    reached = f"reached {series.number_words(number)}" if number is not None and is_read else ""
    return ", ".join(filter(None, (target, reached, Atmosphere.label_of(outcome.atmosphere))))


def picture_for_paper(photo: Photo | PhotoPart, size: Size | None) -> Path:
    """The picture's file; without a size nothing is prepared, since pages are only counted and looked over.

    Where it cannot be made it is the original's place, so that the page says it can't be read.
    """
    whole = photo.whole if isinstance(photo, PhotoPart) else photo
    original = photo_store().original(whole.sha256, EXTENSIONS[whole.format])
    try:
        return path_of(photo, size) if size else original
    except OSError:
        return original
