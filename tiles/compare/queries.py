"""Results to compare with their photos, facts and colours, in a number of queries that does not grow."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from django.db.models import Count

from firings.preferences import Preferences
from tiles.closeup import queries as closeup
from tiles.colour import swatch
from tiles.colour.apart import MeasuredColour, apart
from tiles.colour.placing import Corners, face_on_mat, zone_on
from tiles.colour.queries import face_of, measured_colours, place_of
from tiles.compare import facts
from tiles.compare.chosen import FEWEST, Chosen, trouble
from tiles.compare.facts import Row, Seen
from tiles.compare.framing import Home, home_about
from tiles.conditions.queries import conditions_of
from tiles.models import ColourReading, Outcome, Photo, PhotoFiling
from tiles.photos.mat import SeenMat
from tiles.search.queries import photos_of, searchable
from tiles.tilepage.judged import run_words
from tiles.tray.parts.queries import PhotoPart
from tiles.vocabulary import Face


@dataclass(frozen=True, slots=True)
class Column:
    """One result: its photo and where its zone lies there, its colour, how far that is from the reference's."""

    outcome: Outcome
    photo: Photo | PhotoPart | None
    zone_home: str
    shown: str
    colour_name: str
    colour_figures: str
    apart: str
    is_reference: bool
    without: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo to look at, or the want of one, and whose it is."""

    columns: tuple[Column, ...]

    @property
    def photo(self) -> Photo | PhotoPart | None:
        return self.columns[0].photo

    @property
    def zone_home(self) -> str:
        return self.columns[0].zone_home

    @property
    def words(self) -> str:
        """Every result it shows."""
        return "; ".join(f"tile {one.outcome.tile.label}, {one.outcome.zone.name}" for one in self.columns)


@dataclass(frozen=True, slots=True)
class Comparison:
    """All that the page of a comparison shows."""

    chosen: Chosen
    columns: list[Column] = field(default_factory=list)
    conditions: list[Row] = field(default_factory=list)
    seen: list[Row] = field(default_factory=list)
    shared: str = ""
    differing: str = ""
    trouble: str = ""

    @property
    def is_ready(self) -> bool:
        """Whether there is something to compare."""
        return len(self.columns) >= FEWEST and not self.chosen.are_too_many

    @property
    def pictures(self) -> list[Picture]:
        """The photos in the order of the results; one of several zones stands once, unless it can show each apart."""
        sharing: dict[object, list[Column]] = {}
        for column in self.columns:
            stands_alone = column.zone_home or not column.photo
            sharing.setdefault(column.outcome if stands_alone else column.photo, []).append(column)
        return [Picture(tuple(columns)) for columns in sharing.values()]

    @property
    def differing_rows(self) -> list[Row]:
        return [row for row in self.conditions if row.differs]

    @property
    def same_rows(self) -> list[Row]:
        return [row for row in self.conditions if not row.differs and not row.is_blank]

    @property
    def has_colours(self) -> bool:
        return any(column.shown for column in self.columns)

    @property
    def reference(self) -> Column | None:
        return next((column for column in self.columns if column.is_reference), None)


def comparison(chosen: Chosen, reference: int | None, preferences: Preferences) -> Comparison:
    """The chosen results in their order; those that are not here are told of. Colours are set against `reference`."""
    asked = chosen.keys[:100]
    here = Outcome.objects.filter(pk__in=searchable().filter(pk__in=asked).values("pk"))
    found = here.for_display().select_related("zone__form_zone").in_bulk()
    outcomes = [found[key] for key in asked if key in found]
    missing = [key for key in asked if key not in found]
    told = trouble(chosen, missing)
    if len(outcomes) < FEWEST or chosen.are_too_many:
        return Comparison(chosen, columns=_columns(outcomes, chosen, reference), trouble=told)
    conditions = [conditions_of(outcome) for outcome in outcomes]
    return Comparison(
        chosen,
        columns=_columns(outcomes, chosen, reference),
        conditions=facts.condition_rows(conditions),
        seen=facts.seen_rows([_seen(outcome, preferences.length_unit) for outcome in outcomes]),
        shared=facts.shared_words(conditions),
        differing=facts.differing_words(conditions),
        trouble=told,
    )


def _seen(outcome: Outcome, unit: Literal["mm", "in"]) -> Seen:
    """What was seen, in words; `outcome` comes with its flaws."""
    return Seen(
        is_judged=outcome.is_judged,
        surface=outcome.surface,
        opacity=outcome.opacity,
        run=run_words(outcome, unit),
        pooling=outcome.pooling,
        breaking=outcome.breaking,
        gloss=f"{outcome.gloss_gu.normalize():f} GU" if outcome.gloss_gu is not None else "",
        verdict=outcome.verdict,
        remark=outcome.remark,
        flaws=tuple((flaw.kind, flaw.severity) for flaw in outcome.flaws.all()),
    )


def _columns(outcomes: Sequence[Outcome], chosen: Chosen, reference: int | None) -> list[Column]:
    photos, colours = photos_of(outcomes), measured_colours(outcomes)
    against = (
        reference if reference in colours else next((one.pk for one in outcomes if one.pk in colours), None)
    )
    homes = zone_homes(outcomes, photos)
    return [_column(one, photos.get(one.pk), homes.get(one.pk), colours, against, chosen) for one in outcomes]


def zone_homes(outcomes: Sequence[Outcome], photos: Mapping[int, Photo | PhotoPart]) -> dict[int, Home]:
    """For each outcome, by its key, the part of its photo about its zone, where that is known; two queries.

    It is known where the zone's colour was read, or on the mat with this tile alone.
    """
    wholes = {pk: photo.whole if isinstance(photo, PhotoPart) else photo for pk, photo in photos.items()}
    readings = ColourReading.objects.filter(outcome__in=wholes, photo__in=list(wholes.values()))
    areas = {(reading.outcome_id, reading.photo_id): reading.area for reading in readings}
    shared = PhotoFiling.objects.filter(photo__in=list(wholes.values())).order_by().values("photo")
    tiles = dict(shared.annotate(tiles=Count("tile", distinct=True)).values_list("photo", "tiles"))
    found = {}
    for outcome in outcomes:
        if photo := wholes.get(outcome.pk):
            alone = tiles.get(photo.pk) == 1
            area = areas.get((outcome.pk, photo.pk)) or _area_on_mat(outcome, photo, alone=alone)
            found[outcome.pk] = home_about(area) if area else None
    return {pk: home for pk, home in found.items() if home}


def _area_on_mat(outcome: Outcome, photo: Photo, *, alone: bool) -> Corners | None:
    """The corners of the outcome's zone, where the mat tells where a tile lies."""
    look, place = closeup.look_of(photo), outcome.zone.form_zone
    if not alone or look is None or not isinstance(look.mat, SeenMat) or place.face != Face.FRONT.value:
        return None
    face = face_of(outcome.form)
    return zone_on(face_on_mat(look.mat, face), face, place_of(place))


def _column(
    outcome: Outcome,
    photo: Photo | PhotoPart | None,
    home: Home | None,
    colours: dict[int, MeasuredColour],
    against: int | None,
    chosen: Chosen,
) -> Column:
    colour = colours.get(outcome.pk)
    is_reference = outcome.pk == against
    return Column(
        outcome=outcome,
        photo=photo,
        zone_home=" ".join(f"{share:.5f}" for share in home) if home else "",
        shown=swatch.hex_of(*colour.lab) if colour else "",
        colour_name=swatch.name_of(*colour.lab) if colour else "",
        colour_figures=swatch.figures_of(*colour.lab) if colour else "",
        apart=apart(colours[against], colour).sentence if colour and against and not is_reference else "",
        is_reference=is_reference,
        without=chosen.without(outcome.pk).written,
    )
