"""What close-up pages show of a photo: its pieces, its scale, and the zones whose run can be measured on it."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from tiles.closeup.pieces import pyramid_of
from tiles.closeup.pyramid import Pyramid
from tiles.closeup.reading import Subject
from tiles.closeup.scale import Line, PictureSize
from tiles.models import Outcome, Photo, PhotoFiling, RunReading
from tiles.photos.look import Look
from tiles.photos.queries import original_path
from tiles.tray.parts.queries import PhotoPart, shown_of
from tiles.vocabulary import Face

# A form nobody stated is taken as so thick [mm], as the studio's forms are when new.
USUAL_THICKNESS_MM = 7.0
# The marks of a run that nobody measured yet lie so far from the middle, as a share of the picture's height.
FIRST_REACH = 0.06


def pyramid_for(photo: Photo) -> Pyramid:
    """The levels of a photo. Raises FileNotFoundError when its original is gone."""
    with original_path(photo).open("rb") as original:
        return pyramid_of(original)


def look_of(photo: Photo) -> Look | None:
    """What was seen in a photo; None where nobody looked, or by rules that have changed since."""
    try:
        return Look.from_json(photo.look) if photo.look else None
    except (ValueError, KeyError, TypeError):
        return None


def subject_of(photo: Photo, outcome: Outcome | None = None) -> Subject:
    """A photo as something to measure on; `outcome` comes with its form."""
    form = outcome.form if outcome else None
    return Subject(
        size=PictureSize(photo.width, photo.height),
        look=look_of(photo),
        width_mm=float(form.width_mm) if form else 0.0,
        height_mm=float(form.height_mm) if form else 0.0,
        thickness_mm=float(form.thickness_mm) if form else USUAL_THICKNESS_MM,
    )


def outcomes_on(photo: Photo) -> QuerySet[Outcome]:
    """The outcomes a photo shows, so far as its filings say: of these tiles, after these firings, these zones."""
    filings = list(photo.filings.filter(tile__binned_at__isnull=True))
    shown = Q(pk__in=[])
    for filing in filings:
        one = Q(tile=filing.tile_id)
        if filing.placement_id:
            one &= Q(placement=filing.placement_id)
        if filing.zone_id:
            one &= Q(zone=filing.zone_id)
        shown |= one
    found = Outcome.objects.fired().filter(shown).select_related("tile", "zone__form_zone", "form", "firing")
    return found.order_by("tile__number", "-fired_on", "zone__position")


def filings_showing(outcome: Outcome) -> list[PhotoFiling]:
    """Filings of photos that may show an outcome, the best one first: its zone's own, then newest."""
    fitting = PhotoFiling.objects.filter(
        Q(placement=outcome.placement_id) | Q(placement__isnull=True),
        Q(zone=outcome.zone_id) | Q(zone__isnull=True),
        tile=outcome.tile_id,
        photo__binned_at__isnull=True,
        photo__damage="",
    ).select_related("photo")
    return sorted(
        fitting,
        key=lambda one: (one.zone_id is not None, one.placement_id is not None, one.filed_at),
        reverse=True,
    )


@dataclass(frozen=True, slots=True)
class RunPage:
    """What measuring the run of one zone on one photo shows."""

    photo: Photo
    outcome: Outcome
    shown: Photo | PhotoPart
    subject: Subject
    reading: RunReading | None
    others: Sequence[Outcome]

    @property
    def start(self) -> Line:
        """Where the marks lie when the page opens: as they were left, else about the middle of the zone."""
        if self.reading:
            return tuple(self.reading.line)
        x, y = self._middle()
        return x, max(0.0, y - FIRST_REACH), x, min(1.0, y + FIRST_REACH)

    @property
    def edge_start(self) -> Line:
        """Where the marks at the tile's edges lie when the page opens: across what is shown."""
        left, top, width, height = home_of(self.shown)
        y = top + height / 2
        return left + 0.2 * width, y, left + 0.8 * width, y

    def _middle(self) -> tuple[float, float]:
        """The middle of the zone where the mat tells where it lies, else of what is shown [shares]."""
        left, top, width, height = home_of(self.shown)
        place = self.outcome.zone.form_zone
        if self.subject.mat is None or place is None or place.face != Face.FRONT.value:
            return left + width / 2, top + height / 2
        mat = self.subject.mat
        mark_x, mark_y = mat.layout.tile_mark
        middle = (
            mark_x + float(place.x_mm + place.width_mm / 2),
            mark_y + float(place.y_mm + place.height_mm / 2),
        )
        x, y = mat.shares_of(middle, self.subject.thickness_mm).tolist()
        return min(1.0, max(0.0, x)), min(1.0, max(0.0, y))


def home_of(shown: Photo | PhotoPart) -> tuple[float, float, float, float]:
    """Left, top, width and height of what is shown, as shares of the whole photo."""
    if isinstance(shown, PhotoPart):
        share = shown.share
        return share.left / 10_000, share.top / 10_000, share.width / 10_000, share.height / 10_000
    return 0.0, 0.0, 1.0, 1.0


def run_page(photo: Photo, outcome: Outcome) -> RunPage:
    """The page of one run; `outcome` is one of `outcomes_on(photo)`."""
    filing = photo.filings.filter(tile=outcome.tile_id).first()
    if filing:
        filing.photo = photo
    return RunPage(
        photo=photo,
        outcome=outcome,
        shown=shown_of(filing) if filing else photo,
        subject=subject_of(photo, outcome),
        reading=RunReading.objects.filter(outcome=outcome, photo=photo).first(),
        others=list(outcomes_on(photo).exclude(pk=outcome.pk)),
    )
