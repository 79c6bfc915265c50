"""What was measured on photographs: the colour of a zone, how far its glaze ran."""

from django.conf import settings
from django.db import models
from django.utils import timezone
from simple_history.models import HistoricalRecords

from firings.models.constraints import one_of, within
from tiles.models.outcome import Outcome
from tiles.models.photo import Photo
from tiles.vocabulary import ColourBasis, ScaleBasis


class ColourReading(models.Model):
    """The colour of one outcome read from one photo, or by an instrument without one: CIE L*a*b* under D50, and how far
    it can be trusted.

    `area` holds the corners read within, as [x, y] shares of the upright photo; `colours` the main colours of a
    mottled surface as [L*, a*, b*, share]. The outcome's own colour is a copy of the reading that counts.
    """

    outcome = models.ForeignKey(Outcome, models.CASCADE, related_name="colour_readings")
    photo = models.ForeignKey(Photo, models.CASCADE, null=True, blank=True, related_name="colour_readings")
    lab_l = models.FloatField("L*")
    lab_a = models.FloatField("a*")
    lab_b = models.FloatField("b*")
    basis = models.CharField("measured by", max_length=12, choices=ColourBasis.choices())
    # How the surface itself varies, and what the correction leaves over on the chart; both ΔE00.
    spread_de = models.FloatField()
    residual_de = models.FloatField(null=True, blank=True)
    clipped_share = models.FloatField(default=0)
    pixel_count = models.PositiveIntegerField()
    area = models.JSONField(default=list)
    colours = models.JSONField(default=list, blank=True)
    counts = models.BooleanField(default=False)
    read_at = models.DateTimeField(default=timezone.now)
    read_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    history = HistoricalRecords()

    class Meta:
        ordering = ["outcome", "-read_at"]
        constraints = [
            models.UniqueConstraint(fields=["outcome", "photo"], name="colourreading_once_a_photo"),
            models.UniqueConstraint(
                fields=["outcome"], condition=models.Q(counts=True), name="colourreading_one_counts"
            ),
            one_of("basis", ColourBasis),
            models.CheckConstraint(
                condition=models.Q(photo__isnull=False) | models.Q(basis=ColourBasis.INSTRUMENT.value),
                name="colourreading_has_a_photo",
            ),
            within("lab_l", 0, 100),
            within("clipped_share", 0, 1),
        ]

    def __str__(self) -> str:
        return f"{self.outcome} read from {self.photo or 'an instrument'}"


class RunReading(models.Model):
    """How far the glaze of one outcome ran, measured on one photo from the coat's edge to the end of the drip.

    `line` is [x1, y1, x2, y2] as shares of the upright photo. The outcome's own run is a copy of the last reading.
    """

    outcome = models.ForeignKey(Outcome, models.CASCADE, related_name="run_readings")
    photo = models.ForeignKey(Photo, models.CASCADE, related_name="run_readings")
    line = models.JSONField()
    run_mm = models.DecimalField("run, mm", max_digits=5, decimal_places=1)
    plus_minus_mm = models.DecimalField("give or take, mm", max_digits=5, decimal_places=1)
    scale_basis = models.CharField("scale known by", max_length=8, choices=ScaleBasis.choices())
    read_at = models.DateTimeField(default=timezone.now)
    read_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    history = HistoricalRecords()

    class Meta:
        ordering = ["outcome", "-read_at"]
        constraints = [
            models.UniqueConstraint(fields=["outcome", "photo"], name="runreading_once_a_photo"),
            one_of("scale_basis", ScaleBasis),
            within("run_mm", 0, 500),
        ]

    def __str__(self) -> str:
        return f"{self.run_mm} mm on {self.outcome}"
