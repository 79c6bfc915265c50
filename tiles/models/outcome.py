"""What one zone looked like after one firing, with a copy of the conditions that made it.

The copy is there so that a search reads one table. It has one writer, `tiles.conditions.services.refresh`, called
inside the transaction that changes what it is copied from; `manage.py check_conditions` proves the copies true.
"""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.functional import cached_property
from simple_history.models import HistoricalRecords

from firings.models import Firing, Kiln, Shelf
from firings.models.constraints import is_cone, one_of, within
from firings.models.kept import InUseManager, Kept, KeptQuerySet
from firings.vocabulary import Atmosphere, ReachedSource
from tiles.models.catalogue import ClayBody, Glaze, GlazeBatch
from tiles.models.form import TileForm
from tiles.models.tile import Placement, Tile, Zone
from tiles.vocabulary import ColourBasis, Degree, FlawKind, Method, Opacity, Severity, Surface, Verdict

# The copied columns. Nothing but tiles.conditions writes them, so history leaves them out.
CONDITION_FIELDS = (
    "tile",
    "body",
    "form",
    "textured",
    "firing",
    "target_order",
    "reached_order",
    "reached_number",
    "reached_source",
    "atmosphere",
    "hold_min",
    "kiln",
    "shelf",
    "place",
    "fired_on",
    "firing_count",
    "stack_key",
    "layer_count",
    "coats_total",
    "coats_top",
    "method",
    "top_glaze",
    "lots",
)


class OutcomeQuerySet(KeptQuerySet):
    """Questions about outcomes; each method finishes the sentence "outcomes …"."""

    def of_zone(self, firing_number: int, tile_number: int, zone_position: int) -> Self:
        """The outcome of one zone of one tile in one firing."""
        return self.filter(
            placement__firing__number=firing_number, tile__number=tile_number, zone__position=zone_position
        )

    def in_firing(self, firing: Firing) -> Self:
        return self.filter(firing=firing)

    def fired(self) -> Self:
        """Outcomes that have been through the fire: what a search looks among."""
        return self.filter(fired_on__isnull=False)

    def judged(self) -> Self:
        return self.filter(judged_at__isnull=False)

    def unjudged(self) -> Self:
        return self.filter(judged_at__isnull=True)

    def with_glaze(self, glaze: Glaze) -> Self:
        """Outcomes with this glaze anywhere in the stack.

        As a list that is made once: asked of each outcome, SQLite goes through all layers of the glaze each time: 88 s
        at 100,000 outcomes, 14 ms so.
        """
        return self.filter(pk__in=StackedLayer.objects.filter(glaze=glaze).values("outcome"))

    def for_display(self) -> Self:
        """Outcomes with all that a card, a label or the conditions line shows, in a constant number of queries."""
        return self.select_related(
            "tile__form", "tile__series", "zone", "body", "form", "firing", "kiln", "shelf", "top_glaze"
        ).prefetch_related("stacked__glaze", "stacked__batch", "flaws")


OutcomeManager = InUseManager.from_queryset(OutcomeQuerySet)


class Outcome(Kept):
    """What one zone looked like after one firing. Unjudged until `judged_at` is set."""

    zone = models.ForeignKey(Zone, models.CASCADE, related_name="outcomes")
    placement = models.ForeignKey(Placement, models.CASCADE, related_name="outcomes")

    # What was seen.
    surface = models.CharField(max_length=8, choices=Surface.choices(), blank=True)
    opacity = models.CharField(max_length=12, choices=Opacity.choices(), blank=True)
    run_mm = models.DecimalField("run, mm", max_digits=5, decimal_places=1, null=True, blank=True)
    runs_off = models.BooleanField("ran off the foot", default=False)
    pooling = models.CharField(max_length=8, choices=Degree.choices(), blank=True)
    breaking = models.CharField("breaking over texture", max_length=8, choices=Degree.choices(), blank=True)
    gloss_gu = models.DecimalField("gloss at 60°, GU", max_digits=5, decimal_places=1, null=True, blank=True)
    lab_l = models.FloatField("L*", null=True, blank=True)
    lab_a = models.FloatField("a*", null=True, blank=True)
    lab_b = models.FloatField("b*", null=True, blank=True)
    lab_basis = models.CharField(
        "colour measured by", max_length=12, choices=ColourBasis.choices(), blank=True
    )
    verdict = models.CharField(max_length=8, choices=Verdict.choices(), blank=True)
    remark = models.TextField(blank=True)
    judged_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    judged_at = models.DateTimeField(null=True, blank=True)

    # The copy of the conditions, in CONDITION_FIELDS' order.
    tile = models.ForeignKey(Tile, models.CASCADE, related_name="outcomes", editable=False)
    body = models.ForeignKey(ClayBody, models.PROTECT, related_name="outcomes", editable=False)
    form = models.ForeignKey(TileForm, models.PROTECT, related_name="outcomes", editable=False)
    textured = models.BooleanField(default=False, editable=False)
    firing = models.ForeignKey(Firing, models.PROTECT, related_name="outcomes", editable=False)
    target_order = models.PositiveSmallIntegerField(null=True, editable=False)
    reached_order = models.PositiveSmallIntegerField(null=True, editable=False)
    reached_number = models.DecimalField(max_digits=5, decimal_places=2, null=True, editable=False)
    reached_source = models.CharField(
        max_length=10, choices=ReachedSource.choices(), blank=True, editable=False
    )
    atmosphere = models.CharField(max_length=10, choices=Atmosphere.choices(), editable=False)
    hold_min = models.PositiveIntegerField(default=0, editable=False)
    kiln = models.ForeignKey(Kiln, models.PROTECT, related_name="outcomes", editable=False)
    shelf = models.ForeignKey(Shelf, models.PROTECT, null=True, related_name="outcomes", editable=False)
    place = models.CharField(max_length=40, blank=True, editable=False)
    fired_on = models.DateField(null=True, editable=False)
    firing_count = models.PositiveSmallIntegerField(default=1, editable=False)
    stack_key = models.CharField(max_length=200, blank=True, editable=False)
    layer_count = models.PositiveSmallIntegerField(default=0, editable=False)
    coats_total = models.PositiveSmallIntegerField(default=0, editable=False)
    coats_top = models.PositiveSmallIntegerField(null=True, editable=False)
    method = models.CharField(max_length=8, choices=Method.choices(), blank=True, editable=False)
    top_glaze = models.ForeignKey(Glaze, models.PROTECT, null=True, related_name="+", editable=False)
    lots = models.CharField(max_length=200, blank=True, editable=False)

    objects = OutcomeManager()
    everything = models.Manager()
    history = HistoricalRecords(excluded_fields=list(CONDITION_FIELDS))

    class Meta:
        ordering = ["-fired_on", "-tile__number", "zone__position"]
        constraints = [
            models.UniqueConstraint(fields=["zone", "placement"], name="outcome_once_a_firing"),
            one_of("surface", Surface, blank=True),
            one_of("opacity", Opacity, blank=True),
            one_of("pooling", Degree, blank=True),
            one_of("breaking", Degree, blank=True),
            one_of("verdict", Verdict, blank=True),
            one_of("lab_basis", ColourBasis, blank=True),
            one_of("atmosphere", Atmosphere),
            one_of("method", Method, blank=True),
            one_of("reached_source", ReachedSource, blank=True),
            is_cone("target_order"),
            is_cone("reached_order"),
            within("run_mm", 0, 500),
            within("gloss_gu", 0, 200),
            within("lab_l", 0, 100),
            models.CheckConstraint(
                condition=Q(lab_l__isnull=True, lab_a__isnull=True, lab_b__isnull=True, lab_basis="")
                | (Q(lab_l__isnull=False, lab_a__isnull=False, lab_b__isnull=False) & ~Q(lab_basis="")),
                name="outcome_colour_has_basis",
            ),
        ]
        indexes = [
            models.Index(fields=["body", "reached_order", "coats_total"], name="outcome_by_body"),
            models.Index(fields=["top_glaze", "reached_order", "body"], name="outcome_by_top_glaze"),
            models.Index(fields=["stack_key", "reached_order"], name="outcome_by_stack"),
            models.Index(fields=["-fired_on", "-tile", "zone"], name="outcome_newest"),
            models.Index(fields=["firing", "judged_at"], name="outcome_by_firing"),
        ]

    def __str__(self) -> str:
        return f"{self.tile} {self.zone} in {self.firing}"

    @property
    def is_judged(self) -> bool:
        return self.judged_at is not None

    @cached_property
    def flaws_seen(self) -> list["Flaw"]:
        """Its flaws as they were read; for many outcomes at once by `Prefetch("flaws", to_attr="flaws_seen")`."""
        return list(self.flaws.all())

    def get_absolute_url(self) -> str:
        return f"{self.tile.get_absolute_url()}#outcome-{self.pk}"


class StackedLayer(models.Model):
    """One layer of an outcome's stack, part of the copy of its conditions; position 1 is the bottom."""

    outcome = models.ForeignKey(Outcome, models.CASCADE, related_name="stacked")
    position = models.PositiveSmallIntegerField()
    glaze = models.ForeignKey(Glaze, models.PROTECT, related_name="stacked")
    batch = models.ForeignKey(GlazeBatch, models.PROTECT, null=True, related_name="stacked")
    method = models.CharField(max_length=8, choices=Method.choices())
    coats = models.PositiveSmallIntegerField(null=True)
    dip_s = models.DecimalField(max_digits=5, decimal_places=1, null=True)
    is_top = models.BooleanField()

    class Meta:
        ordering = ["outcome", "position"]
        constraints = [
            models.UniqueConstraint(fields=["outcome", "position"], name="stackedlayer_position_once"),
            one_of("method", Method),
        ]
        indexes = [models.Index(fields=["glaze", "is_top", "outcome"], name="stackedlayer_by_glaze")]

    def __str__(self) -> str:
        return f"{self.glaze} at {self.position}"


class Flaw(models.Model):
    """A flaw seen on an outcome. What is seen is recorded apart from whether it was wanted: that is the verdict."""

    outcome = models.ForeignKey(Outcome, models.CASCADE, related_name="flaws")
    kind = models.CharField(max_length=16, choices=FlawKind.choices())
    severity = models.CharField(max_length=8, choices=Severity.choices(), default=Severity.SLIGHT.value)
    history = HistoricalRecords()

    class Meta:
        ordering = ["outcome", "kind"]
        constraints = [
            models.UniqueConstraint(fields=["outcome", "kind"], name="flaw_once"),
            one_of("kind", FlawKind),
            one_of("severity", Severity),
        ]

    def __str__(self) -> str:
        return f"{self.get_severity_display()} {self.get_kind_display()}"
