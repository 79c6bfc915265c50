"""What was measured on fired ware: the water it takes up, and what a laboratory drew out of its glaze."""

from typing import Self

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Coalesce
from django.urls import reverse
from simple_history.models import HistoricalRecords

from firings.cones import series
from firings.models import Firing
from firings.models.constraints import is_cone, one_of, within
from firings.models.kept import InUseManager, Kept, KeptQuerySet
from firings.vocabulary import Atmosphere
from tiles.conditions.line import date_words
from tiles.models.catalogue import ClayBody, Glaze
from tiles.models.tile import Tile
from tiles.vocabulary import AbsorptionMethod, Element, LeachMethod, LeachRule, LeachUnit


class AbsorptionTestQuerySet(KeptQuerySet):
    """Questions about absorption tests."""

    def with_cone(self) -> Self:
        """Tests with `cone`, the rank of the cone their firing reached or that was written."""
        return self.annotate(cone=Coalesce("firing__reached_order", "cone_order"))

    def for_pages(self) -> Self:
        """Tests of bodies in use with all that a page shows of them, newest first; two queries."""
        found = self.filter(body__binned_at__isnull=True).with_cone().select_related("body", "firing", "tile")
        return found.prefetch_related("pieces").order_by("-tested_on", "-pk")


AbsorptionTestManager = InUseManager.from_queryset(AbsorptionTestQuerySet)


class AbsorptionTest(Kept):
    """Pieces of one body out of one firing, weighed dry and wet.

    The cone is the one its firing reached, or, where the firing is not in the log, the one written down.
    """

    body = models.ForeignKey(
        ClayBody, models.PROTECT, verbose_name="clay body", related_name="absorption_tests"
    )
    tile = models.ForeignKey(Tile, models.PROTECT, null=True, blank=True, related_name="absorption_tests")
    firing = models.ForeignKey(Firing, models.PROTECT, null=True, blank=True, related_name="absorption_tests")
    cone_order = models.PositiveSmallIntegerField("cone reached", null=True, blank=True)
    method = models.CharField(
        max_length=12, choices=AbsorptionMethod.choices(), default=AbsorptionMethod.C373_BOIL.value
    )
    tested_on = models.DateField("weighed on")
    tested_by = models.CharField("weighed by", max_length=80)
    scale_step_g = models.DecimalField("the scale shows, g", max_digits=4, decimal_places=3, default="0.01")
    note = models.TextField(blank=True)

    objects = AbsorptionTestManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["-tested_on", "-pk"]
        verbose_name = "absorption test"
        constraints = [
            one_of("method", AbsorptionMethod),
            is_cone("cone_order"),
            within("scale_step_g", 0.001, 1),
            models.CheckConstraint(
                condition=Q(firing__isnull=False, cone_order__isnull=True)
                | Q(firing__isnull=True, cone_order__isnull=False),
                name="absorptiontest_firing_or_cone",
            ),
        ]

    def __str__(self) -> str:
        return f"absorption of {self.body}, {date_words(self.tested_on)}"

    @property
    def cone_label(self) -> str:
        """The cone in words; empty where its firing has reached none. Of a test that comes `with_cone`."""
        return series.label_of(self.cone) if self.cone else ""  # type: ignore[attr-defined]

    @property
    def scale_words(self) -> str:
        """The scale's smallest step: "0.01 g"."""
        return f"{self.scale_step_g:g} g"

    def get_absolute_url(self) -> str:
        return reverse("tiles:laboratory:absorption", args=[self.pk])


class AbsorptionPiece(models.Model):
    """One piece: dry, wet, and hung in water."""

    test = models.ForeignKey(AbsorptionTest, models.CASCADE, related_name="pieces")
    position = models.PositiveSmallIntegerField("piece")
    dry_g = models.DecimalField("dry, g", max_digits=8, decimal_places=3)
    wet_g = models.DecimalField("wet, g", max_digits=8, decimal_places=3)
    suspended_g = models.DecimalField(
        "hung in water, g", max_digits=8, decimal_places=3, null=True, blank=True
    )
    history = HistoricalRecords()

    class Meta:
        ordering = ["test", "position"]
        constraints = [
            models.UniqueConstraint(fields=["test", "position"], name="absorptionpiece_position_once"),
            within("dry_g", 0.1, 50_000),
            models.CheckConstraint(
                condition=Q(wet_g__gte=F("dry_g")), name="absorptionpiece_wet_not_below_dry"
            ),
            models.CheckConstraint(
                condition=Q(suspended_g__isnull=True) | Q(suspended_g__gt=0, suspended_g__lt=F("dry_g")),
                name="absorptionpiece_hung_below_dry",
            ),
        ]

    def __str__(self) -> str:
        return f"piece {self.position}"


class LeachReportQuerySet(KeptQuerySet):
    """Questions about leach reports."""

    def for_pages(self) -> Self:
        """Reports with all that a page shows of them, newest sample first; two queries."""
        found = self.annotate(cone=Coalesce("firing__reached_order", "cone_order"))
        found = found.select_related("glaze", "body", "firing", "tile").prefetch_related("figures")
        return found.order_by("-sampled_on", "-pk")


LeachReportManager = InUseManager.from_queryset(LeachReportQuerySet)


class LeachReport(Kept):
    """What a laboratory's report says acid drew out of one glaze on one body after one firing.

    A note of the report, never a judgement: `tiles.laboratory.limits` only says where a figure lies beside the limit of
    the rule that was chosen.
    """

    glaze = models.ForeignKey(Glaze, models.PROTECT, null=True, blank=True, related_name="leach_reports")
    tile = models.ForeignKey(Tile, models.PROTECT, null=True, blank=True, related_name="leach_reports")
    body = models.ForeignKey(ClayBody, models.PROTECT, verbose_name="clay body", related_name="leach_reports")
    firing = models.ForeignKey(Firing, models.PROTECT, null=True, blank=True, related_name="leach_reports")
    cone_order = models.PositiveSmallIntegerField("cone reached", null=True, blank=True)
    atmosphere = models.CharField(max_length=10, choices=Atmosphere.choices(), blank=True)
    article = models.CharField("what was tested", max_length=120)
    article_count = models.PositiveSmallIntegerField("how many of it", null=True, blank=True)
    laboratory = models.CharField(max_length=120)
    accreditation = models.CharField("its accreditation, as the report has it", max_length=120, blank=True)
    report_number = models.CharField("the report’s number", max_length=60)
    sampled_on = models.DateField("date of the sample")
    method = models.CharField(
        max_length=12, choices=LeachMethod.choices(), default=LeachMethod.ISO_6486_1.value
    )
    rule = models.CharField("set beside", max_length=12, choices=LeachRule.choices())
    rule_words = models.CharField("the rule, as the report names it", max_length=200, blank=True)
    note = models.TextField(blank=True)

    objects = LeachReportManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["-sampled_on", "-pk"]
        verbose_name = "leach report"
        constraints = [
            one_of("method", LeachMethod),
            one_of("rule", LeachRule),
            one_of("atmosphere", Atmosphere, blank=True),
            is_cone("cone_order"),
            within("article_count", 1, 1000),
            models.CheckConstraint(
                condition=Q(glaze__isnull=False) | Q(tile__isnull=False), name="leachreport_glaze_or_tile"
            ),
            models.CheckConstraint(
                condition=Q(firing__isnull=False, cone_order__isnull=True)
                | Q(firing__isnull=True, cone_order__isnull=False),
                name="leachreport_firing_or_cone",
            ),
            models.CheckConstraint(
                condition=~Q(rule=LeachRule.REPORT.value) | ~Q(rule_words=""),
                name="leachreport_names_its_rule",
            ),
        ]

    def __str__(self) -> str:
        return f"leach report {self.report_number}"

    @property
    def cone_label(self) -> str:
        """The cone in words; empty where its firing has reached none. Of a report that comes `for_pages`."""
        return series.label_of(self.cone) if self.cone else ""  # type: ignore[attr-defined]

    @property
    def atmosphere_label(self) -> str:
        """The firing's atmosphere, or the one written down."""
        return Atmosphere.label_of(self.firing.atmosphere if self.firing else self.atmosphere)

    def get_absolute_url(self) -> str:
        return reverse("tiles:laboratory:leach_report", args=[self.pk])


class LeachFigure(models.Model):
    """One element of a report; `limit_amount` where the report names a limit of its own."""

    report = models.ForeignKey(LeachReport, models.CASCADE, related_name="figures")
    position = models.PositiveSmallIntegerField("line")
    element = models.CharField(max_length=2, choices=Element.choices())
    is_less = models.BooleanField("less than", default=False)
    amount = models.DecimalField("measured", max_digits=10, decimal_places=5)
    unit = models.CharField(
        "by", max_length=10, choices=LeachUnit.choices(), default=LeachUnit.MG_PER_L.value
    )
    limit_amount = models.DecimalField(
        "limit in the report", max_digits=10, decimal_places=5, null=True, blank=True
    )
    history = HistoricalRecords()

    class Meta:
        ordering = ["report", "position"]
        constraints = [
            models.UniqueConstraint(fields=["report", "position"], name="leachfigure_position_once"),
            one_of("element", Element),
            one_of("unit", LeachUnit),
            within("amount", 0, 10_000),
            within("limit_amount", 0, 10_000),
        ]

    def __str__(self) -> str:
        return self.get_element_display()
