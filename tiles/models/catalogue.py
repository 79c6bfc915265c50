"""What the shelves hold: clay bodies, glazes and their batches."""

from typing import Self

from django.core.validators import RegexValidator
from django.db import models
from django.db.models.functions import Concat
from django.urls import reverse
from simple_history.models import HistoricalRecords

from firings.cones import series
from firings.models.constraints import is_cone, one_of, rising, within
from firings.models.kept import InUseManager, Kept, KeptManager, KeptQuerySet, unique_while_kept
from tiles import tags
from tiles.vocabulary import ColourFamily, FlowCup, GlazeKind, Opacity, Surface

as_swatch = RegexValidator(r"^#[0-9a-f]{6}$", "Choose a colour, written like #8a4b2f.")


def cone_range_words(low: int | None, high: int | None) -> str:
    """A range of cones in words: "cone 5 to 10", "cone 6", or nothing."""
    ends = [series.label_of(order) for order in dict.fromkeys((low, high)) if order]
    return f"cone {' to '.join(ends)}" if ends else ""


class ClayBodyQuerySet(KeptQuerySet):
    """Questions about clay bodies."""

    def by_name(self) -> Self:
        return self.order_by("name")


ClayBodyManager = InUseManager.from_queryset(ClayBodyQuerySet)


class ClayBody(Kept):
    """The clay mix of a tile. `default_hold_min` is a studio rule: the hold this body is always given."""

    name = models.CharField(max_length=60)
    colour_family = models.CharField(
        "fired colour", max_length=8, choices=ColourFamily.choices(), default=ColourFamily.WHITE.value
    )
    speckled = models.BooleanField(default=False)
    swatch = models.CharField(
        "fired colour, as a swatch", max_length=7, default="#e9e2d3", validators=[as_swatch]
    )
    cone_low_order = models.PositiveSmallIntegerField("matures from cone", null=True, blank=True)
    cone_high_order = models.PositiveSmallIntegerField("to cone", null=True, blank=True)
    absorption_pct = models.DecimalField(
        "absorption, %", max_digits=4, decimal_places=1, null=True, blank=True
    )
    shrinkage_pct = models.DecimalField("shrinkage, %", max_digits=4, decimal_places=1, null=True, blank=True)
    default_hold_min = models.PositiveSmallIntegerField("always hold, min", null=True, blank=True)
    note = models.TextField(blank=True)

    objects = ClayBodyManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "clay bodies"
        constraints = [
            unique_while_kept("lower:name", name="claybody_name_once"),
            one_of("colour_family", ColourFamily),
            is_cone("cone_low_order"),
            is_cone("cone_high_order"),
            rising("cone_low_order", "cone_high_order", "cone_range"),
            within("absorption_pct", 0, 40),
            within("shrinkage_pct", 0, 40),
            within("default_hold_min", 0, 600),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def cone_range(self) -> str:
        return cone_range_words(self.cone_low_order, self.cone_high_order)

    @property
    def colour_words(self) -> str:
        """The fired colour in words: "buff, speckled"."""
        return (
            f"{self.get_colour_family_display()}, speckled"
            if self.speckled
            else self.get_colour_family_display()
        )

    def get_absolute_url(self) -> str:
        return reverse("tiles:catalogue:body", args=[self.pk])


class GlazeQuerySet(KeptQuerySet):
    """Questions about glazes."""

    def by_name(self) -> Self:
        return self.order_by("name")

    def tagged(self, tag: str) -> Self:
        """Glazes with that tag among theirs."""
        bounded = Concat(models.Value(", "), "tags", models.Value(", "))
        return self.alias(bounded=bounded).filter(bounded__contains=f", {tag}, ")

    def all_tags(self) -> list[str]:
        """Every tag that a glaze in use has, in the order of the alphabet."""
        return sorted({tag for text in self.values_list("tags", flat=True) for tag in tags.kept(text)})


GlazeManager = InUseManager.from_queryset(GlazeQuerySet)


class Glaze(Kept):
    """One glaze, flux, underglaze, engobe or wash, with what its label says.

    The label and its data sheet rule over anything in the log; `cautions` keeps the label's own words.
    """

    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=12, choices=GlazeKind.choices(), default=GlazeKind.GLAZE.value)
    maker = models.CharField("maker, or mixed here", max_length=80, blank=True)
    cone_low_order = models.PositiveSmallIntegerField("meant from cone", null=True, blank=True)
    cone_high_order = models.PositiveSmallIntegerField("to cone", null=True, blank=True)
    surface = models.CharField("expected surface", max_length=8, choices=Surface.choices(), blank=True)
    opacity = models.CharField("expected opacity", max_length=12, choices=Opacity.choices(), blank=True)
    tags = models.CharField(max_length=tags.LONGEST_TEXT, blank=True)
    swatch = models.CharField(
        "fired colour, as a swatch", max_length=7, default="#b9b2a3", validators=[as_swatch]
    )
    known_runner = models.BooleanField("known to run", default=False)
    coats_low = models.PositiveSmallIntegerField("coats on the label, from", null=True, blank=True)
    coats_high = models.PositiveSmallIntegerField("to", null=True, blank=True)
    drying_min = models.PositiveSmallIntegerField("drying between coats, min", null=True, blank=True)
    thinning = models.CharField("thinning, as on the label", max_length=200, blank=True)
    cautions = models.TextField("cautions from the label", blank=True)
    note = models.TextField(blank=True)

    objects = GlazeManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        constraints = [
            unique_while_kept("lower:name", name="glaze_name_once"),
            one_of("kind", GlazeKind),
            one_of("surface", Surface, blank=True),
            one_of("opacity", Opacity, blank=True),
            is_cone("cone_low_order"),
            is_cone("cone_high_order"),
            rising("cone_low_order", "cone_high_order", "cone_range"),
            rising("coats_low", "coats_high", "coats"),
            within("coats_high", 0, 20),
            within("drying_min", 0, 2880),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def cone_range(self) -> str:
        return cone_range_words(self.cone_low_order, self.cone_high_order)

    @property
    def tag_words(self) -> tuple[str, ...]:
        """The studio's own words for it, one by one."""
        return tags.kept(self.tags)

    def get_absolute_url(self) -> str:
        return reverse("tiles:catalogue:glaze", args=[self.pk])


class GlazeBatch(Kept):
    """A lot from a maker or what the studio mixed at once; the two are kept apart by `mixed_here`."""

    glaze = models.ForeignKey(Glaze, models.PROTECT, related_name="batches")
    lot = models.CharField("lot or batch", max_length=40)
    mixed_here = models.BooleanField("mixed in this studio", default=False)
    opened_on = models.DateField("opened or mixed on", null=True, blank=True)
    specific_gravity = models.DecimalField(
        "specific gravity", max_digits=4, decimal_places=3, null=True, blank=True
    )
    flow_s = models.DecimalField("flow time, s", max_digits=5, decimal_places=1, null=True, blank=True)
    flow_cup = models.CharField("flow cup", max_length=8, choices=FlowCup.choices(), blank=True)
    note = models.TextField(blank=True)

    objects = KeptManager()
    everything = models.Manager()
    history = HistoricalRecords()

    class Meta:
        ordering = ["glaze", "-opened_on", "lot"]
        verbose_name_plural = "glaze batches"
        constraints = [
            unique_while_kept("glaze", "lower:lot", name="glazebatch_lot_once"),
            one_of("flow_cup", FlowCup, blank=True),
            within("specific_gravity", 1, 2.5),
            within("flow_s", 1, 999),
        ]

    def __str__(self) -> str:
        return self.lot

    def get_absolute_url(self) -> str:
        return reverse("tiles:laydown:batch", args=[self.pk])
