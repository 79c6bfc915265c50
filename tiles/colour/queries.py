"""What is known of colours: which outcomes a photo shows and where, their readings, and which of these counts."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from tiles.colour.apart import MeasuredColour
from tiles.colour.correction import Basis
from tiles.colour.placing import Corners, Face, Place, face_by_proportions, face_on_mat, zone_on
from tiles.models import ColourReading, FormZone, Outcome, Photo, PhotoFiling, TileForm
from tiles.photos.look import Look
from tiles.photos.mat import SeenMat
from tiles.vocabulary import ColourBasis
from tiles.vocabulary import Face as Side

# The better evidence stands higher; among equals the newer counts.
WORTH = {
    ColourBasis.INSTRUMENT.value: 3,
    ColourBasis.CHART.value: 2,
    ColourBasis.GREY_CARD.value: 1,
    ColourBasis.UNCORRECTED.value: 0,
}
# A tile that covers less of the photo is not what the region is about; its code is.
A_TILE_COVERS = 0.03


@dataclass(frozen=True, slots=True)
class ShownZone:
    """An outcome that a photo shows, and the filing that says so."""

    outcome: Outcome
    filing: PhotoFiling

    @property
    def is_of_the_side_in_view(self) -> bool:
        """Photos show the front unless they are filed to a zone of the back."""
        zone = self.filing.zone
        return self.outcome.zone.face == (zone.face if zone else Side.FRONT.value)


def measured_colours(outcomes: Iterable[Outcome]) -> dict[int, MeasuredColour]:
    """For each outcome with a colour, by its key, that colour with how far it can be trusted; one query."""
    coloured = {outcome.pk: outcome for outcome in outcomes if outcome.lab_l is not None}
    counting = ColourReading.objects.filter(outcome__in=coloured, counts=True)
    readings = {reading.outcome_id: reading for reading in counting}
    return {pk: _measured(outcome, readings.get(pk)) for pk, outcome in coloured.items()}


def _measured(outcome: Outcome, reading: ColourReading | None) -> MeasuredColour:
    assert outcome.lab_l is not None
    assert outcome.lab_a is not None
    assert outcome.lab_b is not None
    lab = (outcome.lab_l, outcome.lab_a, outcome.lab_b)
    if reading is None:
        return MeasuredColour(lab, outcome.lab_basis)
    return MeasuredColour(lab, outcome.lab_basis, reading.spread_de, reading.residual_de, reading.photo_id)


def measured(reading: ColourReading) -> MeasuredColour:
    """A reading as a colour with how far it can be trusted."""
    lab = (reading.lab_l, reading.lab_a, reading.lab_b)
    return MeasuredColour(lab, reading.basis, reading.spread_de, reading.residual_de, reading.photo_id)


def readings_of(outcome: Outcome) -> list[ColourReading]:
    """All readings of an outcome, the one that counts first, then the best evidence, then the newest."""
    found = outcome.colour_readings.select_related("photo", "read_by")
    return sorted(found, key=lambda reading: (reading.counts, *worth(reading)), reverse=True)


def worth(reading: ColourReading) -> tuple[int, float]:
    """What decides among readings: the better evidence, then the newer."""
    return WORTH[reading.basis], reading.read_at.timestamp()


def look_of(photo: Photo) -> Look | None:
    """What was found in a photo; None where nobody has looked, or it was kept by an older version."""
    if not photo.look:
        return None
    try:
        return Look.from_json(photo.look)
    except (ValueError, KeyError, TypeError):
        return None


def shown_on(photo: Photo) -> list[ShownZone]:
    """The fired outcomes that a photo shows, tile by tile, zone by zone, those of the side in view first.

    A photo filed without a firing shows the tile after its only firing, where there is but one.
    """
    filings = photo.filings.filter(tile__binned_at__isnull=True).select_related("tile__form", "zone")
    shown = [ShownZone(outcome, filing) for filing in filings for outcome in _outcomes_of(filing)]
    return sorted(
        shown,
        key=lambda zone: (
            zone.filing.tile.number,
            not zone.is_of_the_side_in_view,
            zone.outcome.zone.position,
        ),
    )


def _outcomes_of(filing: PhotoFiling) -> list[Outcome]:
    outcomes = Outcome.objects.for_display().fired().filter(tile=filing.tile_id)
    outcomes = outcomes.filter(firing__binned_at__isnull=True).select_related("zone__form_zone")
    if filing.placement_id:
        outcomes = outcomes.filter(placement=filing.placement_id)
    if filing.zone_id:
        outcomes = outcomes.filter(zone=filing.zone_id)
    found = list(outcomes.order_by("zone__position"))
    return found if len({outcome.placement_id for outcome in found}) == 1 else []


def photos_showing(outcome: Outcome) -> QuerySet[Photo]:
    """Photos on which an outcome can be measured, the newest first."""
    filings = PhotoFiling.objects.filter(
        Q(placement=outcome.placement_id) | Q(placement__isnull=True),
        Q(zone=outcome.zone_id) | Q(zone__isnull=True),
        tile=outcome.tile_id,
    )
    return Photo.objects.filter(filings__in=filings).distinct().order_by("-stored_at")


def face_of(form: TileForm) -> Face:
    return Face(form.width_mm, form.height_mm, form.thickness_mm)


def place_of(zone: FormZone) -> Place:
    return Place(*(float(mm) for mm in (zone.x_mm, zone.y_mm, zone.width_mm, zone.height_mm)))


def tile_corners(shown: ShownZone, photo: Photo, look: Look | None, *, alone: bool) -> Corners:
    """Where the face of a tile lies: by the mat where it is in view and the tile `alone` on it, else by proportions."""
    face = face_of(shown.outcome.form)
    if alone and look is not None and isinstance(look.mat, SeenMat):
        return face_on_mat(look.mat, face)
    return face_by_proportions(face, (photo.width, photo.height), _region_of(shown.filing))


def _region_of(filing: PhotoFiling) -> list[float] | None:
    """Where in the photo the tile was said to be; a region hardly larger than a code tells nothing of its size."""
    region = list(filing.region or ())
    return region if len(region) == 4 and region[2] * region[3] > A_TILE_COVERS else None


def laid_areas(shown: Iterable[ShownZone], photo: Photo, look: Look | None) -> dict[int, Corners]:
    """For each outcome shown, by its key, where its zone lies in the photo."""
    zones = list(shown)
    alone = len({zone.filing.tile_id for zone in zones}) == 1
    return {
        zone.outcome.pk: zone_on(
            tile_corners(zone, photo, look, alone=alone),
            face_of(zone.outcome.form),
            place_of(zone.outcome.zone.form_zone),
        )
        for zone in zones
    }


def kept_areas(photo: Photo) -> dict[int, Corners]:
    """The areas within which outcomes were read on this photo before."""
    readings = ColourReading.objects.filter(photo=photo).only("outcome_id", "area")
    return {
        reading.outcome_id: tuple((float(x), float(y)) for x, y in reading.area)
        for reading in readings
        if len(reading.area) == 4
    }


def is_measurable_unasked(look: Look) -> bool:
    """Whether a photo may be measured without anyone asking: put right by a chart, and the tile's place known."""
    return look.correction.basis is Basis.CHART and isinstance(look.mat, SeenMat)
