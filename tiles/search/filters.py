"""The one definition of a search: page, print and whatever else asks for results go through `ResultsFilter`."""

import json
import re
from collections.abc import Callable, Iterable, Mapping
from copy import copy
from functools import cached_property
from typing import Any, ClassVar, Self

import django_filters
import numpy as np
from django import forms
from django.db.models import (
    Count,
    Exists,
    F,
    FloatField,
    Func,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    TextField,
    Value,
)
from django.db.models.functions import Round
from numpy.typing import NDArray

from firings.rows.queries import Among
from firings.vocabulary import Atmosphere
from tiles import numbers
from tiles.colour.near import USUAL_DE, Box, box_around, read_colour, read_within, within
from tiles.columns.counted import Filters, marked
from tiles.columns.held import Held
from tiles.columns.queries import lookups
from tiles.columns.selected import colours_in, said_rows, text_rows
from tiles.columns.values import Lookups
from tiles.columns.words import Meaning, meant_by, nearly_meant_by, pieces_of
from tiles.models import Coverage, Flaw, Outcome, PhotoFiling, StackedLayer
from tiles.search.counting.answers import NOT_FILTERS, answer
from tiles.search.forms import ReadField, ValuesField, key, one_of, word_of
from tiles.search.groups import (
    NO,
    NONE,
    OFF,
    YES,
    CoatsOf,
    ConeBy,
    Sort,
    Stacking,
    cone_span,
    firing_span,
    run_span,
    whole_span,
)
from tiles.search.spans import Span
from tiles.vocabulary import ColourFamily, FlawKind, GlazeKind, Method, Opacity, Surface, Verdict

MOST_WORDS = 8

# The last terms make every order total, so that no result is on two pages or on none.
NEWEST = (F("fired_on").desc(nulls_last=True), "-tile__number", "zone__position", "-firing_count")
ORDERS = {
    Sort.NEWEST: NEWEST,
    Sort.NUMBER: ("tile__number", "zone__position", "firing_count"),
    Sort.CONE: (F("reached_number").desc(nulls_last=True), *NEWEST),
    Sort.COATS: ("-coats_total", *NEWEST),
    Sort.RUN: (F("run_mm").desc(nulls_last=True), *NEWEST),
}


class Lasting:
    """A filter that keeps nothing of a search but whose it is: each search has a copy of it, not of all it holds."""

    def __deepcopy__(self, memo: dict[int, Any]) -> Self:
        return copy(self)


class AnyOf(Lasting, django_filters.Filter):
    """A group: outcomes that answer any of the values; no value lets all pass."""

    field_class = ValuesField

    def __init__(self, condition: Callable[[Any], Q], read: Callable[[str], Any]) -> None:
        super().__init__(read=read)
        self.condition = condition

    def filter(self, qs: QuerySet[Outcome], value: list[Any]) -> QuerySet[Outcome]:
        return qs.filter(self.condition(value)) if value else qs


class NoneOf(AnyOf):
    """A group of what must not be there: outcomes that answer none of the values."""

    def filter(self, qs: QuerySet[Outcome], value: list[Any]) -> QuerySet[Outcome]:
        return qs.exclude(self.condition(value)) if value else qs


class SpanOf(Lasting, django_filters.Filter):
    """Figures of one column in any of the spans; `unless` is a setting, what it says, and the column then meant."""

    field_class = ValuesField

    def __init__(
        self, column: str, read: Callable[[str], Any], *, unless: tuple[str, str, str] | None = None
    ) -> None:
        super().__init__(read=read)
        self.usual_column, self.unless = column, unless

    @property
    def column(self) -> str:
        """The column the search means."""
        if self.unless is None:
            return self.usual_column
        setting, said, other = self.unless
        return other if self.parent.said(setting) == said else self.usual_column

    def filter(self, qs: QuerySet[Outcome], value: list[Span[Any]]) -> QuerySet[Outcome]:
        return qs.filter(spans_on(self.column, value)) if value else qs


class ThicknessOf(Lasting, django_filters.Filter):
    """Outcomes whose layers, as far as they were on the zone in that firing, were measured this thick together."""

    field_class = ValuesField

    def __init__(self) -> None:
        super().__init__(read=run_span)

    def filter(self, qs: QuerySet[Outcome], value: list[Span[Any]]) -> QuerySet[Outcome]:
        return qs.alias(thick_mm=measured_thickness()).filter(spans_on("thick_mm", value)) if value else qs


class Setting(Lasting, django_filters.ChoiceFilter):
    """A parameter that says how another is meant, or the order; by itself it finds nothing."""

    def filter(self, qs: QuerySet[Outcome], value: str) -> QuerySet[Outcome]:
        return qs


class Read(Lasting, django_filters.Filter):
    """A parameter that says how another is meant, read by the trade's own reader."""

    field_class = ReadField

    def __init__(self, read: Callable[[str], Any]) -> None:
        super().__init__(read=read)

    def filter(self, qs: QuerySet[Outcome], value: Any) -> QuerySet[Outcome]:
        return qs


class NearColour(Read):
    """Outcomes with a measured colour not further than `within` from the one asked for, by CIEDE2000, exactly."""

    def filter(self, qs: QuerySet[Outcome], value: tuple[float, float, float]) -> QuerySet[Outcome]:
        return qs.filter(Among("pk", self.parent.within_reach(value))) if value else qs


class FigureOf(Func):
    """The figure that a mapping holds for a row's key."""

    output_field = FloatField()

    def __init__(self, apart: Mapping[int, float]) -> None:
        held = Value(
            json.dumps({str(key): figure for key, figure in apart.items()}), output_field=TextField()
        )
        super().__init__(held, F("pk"))

    def as_sqlite(self, compiler: Any, connection: Any, **more: Any) -> Any:
        template = """json_extract(%(expressions)s || '"')"""
        return self.as_sql(compiler, connection, template=template, arg_joiner=""", '$."' || """, **more)

    def as_postgresql(self, compiler: Any, connection: Any, **more: Any) -> Any:
        template = "(%(expressions)s::text)::double precision"
        return self.as_sql(compiler, connection, template=template, arg_joiner="::jsonb ->> ", **more)


def in_box(box: Box) -> Q:
    """Outcomes whose measured colour lies in a box of L*a*b*."""
    columns = zip(("lab_l", "lab_a", "lab_b"), box.low, box.high, strict=True)
    return Q(**{f"{column}__range": (low, high) for column, low, high in columns})


def colour_of_outcome(text: str) -> tuple[float, float, float]:
    """The measured colour of a result, by its key."""
    lab = Outcome.objects.filter(pk=key(text)).values_list("lab_l", "lab_a", "lab_b").first()
    if lab is None:
        raise ValueError("There is no such result")
    if lab[0] is None:
        raise ValueError("This result has no measured colour to look for others by")
    return lab


class TypedWords(Lasting, django_filters.CharFilter):
    """Every word typed must be found somewhere."""

    def filter(self, qs: QuerySet[Outcome], value: str) -> QuerySet[Outcome]:
        for typed in pieces_of(value, MOST_WORDS):
            qs = qs.filter(says(self.parent.meaning(typed)))
        return qs


def spans_on(column: str, spans: Iterable[Span[Any]]) -> Q:
    """Rows whose column lies in any of the spans."""
    found = Q(pk__in=())
    for span in spans:
        ends = {f"{column}__gte": span.low, f"{column}__lte": span.high}
        found |= Q(**{end: figure for end, figure in ends.items() if figure is not None})
    return found


def measured_thickness() -> Subquery:
    """All layers of an outcome together [mm], to a hundredth; nothing where one of them was not measured."""
    layers = Coverage.objects.filter(
        zone=OuterRef("zone"), layer__after_firings__lt=OuterRef("placement__sequence")
    ).order_by()
    measured = layers.values("zone").annotate(
        total=Round(Sum("thickness_mm"), precision=2), bare=Count("pk", filter=Q(thickness_mm__isnull=True))
    )
    return Subquery(measured.filter(bare=0).values("total"))


def layered_with(**layer: Any) -> Q:
    """Outcomes with such a layer in their stack.

    As a list that is made once: asked for each outcome, SQLite goes through all layers of the glaze every time (30 s at
    100,000 outcomes).
    """
    return Q(pk__in=StackedLayer.objects.filter(**layer).values("outcome"))


def stacked_as(kinds: Iterable[str]) -> Q:
    conditions = {
        Stacking.ALONE: Q(layer_count=1),
        Stacking.LAYERED: Q(layer_count__gt=1),
        Stacking.FLUX: Q(layered_with(glaze__kind=GlazeKind.FLUX.value)),
    }
    return any_of(conditions[Stacking(kind)] for kind in kinds)


def any_of(conditions: Iterable[Q]) -> Q:
    found = Q(pk__in=())
    for condition in conditions:
        found |= condition
    return found


def ran(values: Iterable[Any]) -> Q:
    """Run in the spans given, or off the foot."""
    values = list(values)
    off = Q(runs_off=True) if OFF in values else Q(pk__in=())
    return off | spans_on("run_mm", [value for value in values if value != OFF])


def read_run(text: str) -> Any:
    return text if text == OFF else run_span(text)


def flawed(kinds: Iterable[str]) -> Q:
    """Any of these flaws was seen; `none` asks for judged outcomes without a flaw."""
    kinds = list(kinds)
    seen = Flaw.objects.filter(outcome=OuterRef("pk"))
    clean = Q(judged_at__isnull=False) & ~Q(Exists(seen)) if NONE in kinds else Q(pk__in=())
    return clean | Q(Exists(seen.filter(kind__in=kinds)))


def is_so(condition: Q) -> Callable[[list[str]], Q]:
    """A group of yes and no about one condition."""
    return lambda answers: any_of(condition if answer == YES else ~condition for answer in answers)


def pictured() -> Q:
    """A photo in use shows this zone after this firing, or the tile without saying which zone or firing."""
    return Q(
        Exists(
            PhotoFiling.objects.filter(
                Q(placement=OuterRef("placement")) | Q(placement__isnull=True),
                Q(zone=OuterRef("zone")) | Q(zone__isnull=True),
                tile=OuterRef("tile"),
                photo__binned_at__isnull=True,
            )
        )
    )


def says(meaning: Meaning) -> Q:
    """What a typed piece names, or begins a word of, is what an outcome is made of or what people wrote about it."""
    found = in_texts(meaning.typed) | Q(tile__number__in=meaning.numbers)
    if meaning.glazes:
        found |= Q(layered_with(glaze__in=meaning.glazes))
    if meaning.lots:
        found |= Q(layered_with(batch__in=meaning.lots))
    return found | Q(body__in=meaning.bodies) | Q(kiln__in=meaning.kilns) | Q(tile__series__in=meaning.series)


def in_texts(typed: str) -> Q:
    """A typed piece begins a word of a remark or of a tile's note."""
    begins = rf"(^|\W){re.escape(typed.lower())}"
    return Q(remark__iregex=begins) | Q(tile__note__iregex=begins)


def tile_numbers_in(word: str) -> list[int]:
    """The tile numbers a word may mean: with its check digit, or without one."""
    found = [int(word)] if re.fullmatch(r"[0-9]{1,7}", word) else []
    try:
        return [*found, numbers.read(word)]
    except ValueError:
        return found


yes_or_no = word_of(YES, NO)


class ResultsFilter(django_filters.FilterSet):
    """Outcomes by any of their conditions and by what was seen. Group names are those of `groups.GROUPS`."""

    q = TypedWords(label="words")
    glaze = AnyOf(lambda keys: Q(layered_with(glaze__in=keys)), key)
    top = AnyOf(lambda keys: Q(top_glaze__in=keys), key)
    over = AnyOf(lambda keys: Q(layered_with(glaze__in=keys, position__gt=1)), key)
    under = AnyOf(lambda keys: Q(layered_with(glaze__in=keys, is_top=False)), key)
    stack = AnyOf(stacked_as, one_of(Stacking))
    body = AnyOf(lambda keys: Q(body__in=keys), key)
    colour = AnyOf(lambda families: Q(body__colour_family__in=families), one_of(ColourFamily))
    speckled = AnyOf(is_so(Q(body__speckled=True)), yes_or_no)
    cone = SpanOf("reached_order", cone_span, unless=("cone_by", ConeBy.TARGET.value, "target_order"))
    cone_by = Setting(choices=ConeBy.choices())
    atmosphere = AnyOf(lambda words: Q(atmosphere__in=words), one_of(Atmosphere))
    hold = SpanOf("hold_min", whole_span)
    coats = SpanOf(
        "coats_total",
        whole_span,
        unless=("coats_of", CoatsOf.TOP.value, "coats_top"),
    )
    coats_of = Setting(choices=CoatsOf.choices())
    method = AnyOf(lambda words: Q(method__in=words), one_of(Method))
    surface = AnyOf(lambda words: Q(surface__in=words), one_of(Surface))
    opacity = AnyOf(lambda words: Q(opacity__in=words), one_of(Opacity))
    run = AnyOf(ran, read_run)
    gloss = SpanOf("gloss_gu", run_span)
    thickness = ThicknessOf()
    flaw = AnyOf(flawed, one_of(FlawKind, NONE))
    no_flaw = NoneOf(flawed, one_of(FlawKind))
    verdict = AnyOf(lambda words: Q(verdict__in=words), one_of(Verdict))
    texture = AnyOf(is_so(Q(textured=True)), yes_or_no)
    judged = AnyOf(is_so(Q(judged_at__isnull=False)), yes_or_no)
    photo = AnyOf(is_so(pictured()), yes_or_no)
    kiln = AnyOf(lambda keys: Q(kiln__in=keys), key)
    shelf = SpanOf("shelf__position", whole_span)
    firing = SpanOf("firing__number", firing_span)
    series = AnyOf(lambda keys: Q(tile__series__in=keys), key)
    lot = AnyOf(lambda keys: Q(layered_with(batch__in=keys)), key)
    since = django_filters.DateFilter("fired_on", "gte")
    until = django_filters.DateFilter("fired_on", "lte")
    like = NearColour(colour_of_outcome)
    near = NearColour(read_colour)
    within = Read(read_within)
    sort = Setting(choices=Sort.choices())

    # All results as they are held in memory; None where the database is asked.
    held: Held | None = None

    class Meta:
        model = Outcome
        fields: list[str] = []

    _form_class: ClassVar[type[forms.Form] | None] = None

    def get_form_class(self) -> type[forms.Form]:
        """Made once: its fields are the same whatever is asked."""
        if ResultsFilter._form_class is None:
            ResultsFilter._form_class = super().get_form_class()
        return ResultsFilter._form_class

    @cached_property
    def on_columns(self) -> Filters | None:
        """This search over the results held in memory; None where the database is asked."""
        if self.held is None:
            return None
        asked = Filters(self.held)
        for name, value in self.form.cleaned_data.items():
            if value and name not in NOT_FILTERS and not self._answered(asked, name, value):
                found = self.filters[name].filter(self.queryset.order_by(), value)
                asked.on_rows[name] = marked(self.held, found.values_list("pk", flat=True))
        return asked

    def _answered(self, asked: Filters, name: str, value: Any) -> bool:
        """Whether the columns hold what a parameter asks for; what they do not, the database is asked for."""
        if name == "q":
            meanings = [self.meaning(typed) for typed in pieces_of(value, MOST_WORDS)]
            asked.on_rows.update({name: said_rows(asked.held, meanings)} if meanings else {})
        elif name in ("like", "near"):
            asked.on_rows[name] = marked(asked.held, self.within_reach(value))
        else:
            return answer(asked, name, value, self.form.cleaned_data)
        return True

    @cached_property
    def _meanings(self) -> dict[str, Meaning]:
        return {}

    @cached_property
    def _names(self) -> Lookups:
        return self.held.lookups if self.held else lookups()

    def meaning(self, typed: str) -> Meaning:
        """What a typed piece means; where nothing at all begins with it, what it nearly names."""
        if typed not in self._meanings:
            meaning = meant_by(typed, self._names, tile_numbers_in(typed))
            if meaning.may_be_a_slip and not self._stands_in_texts(typed):
                meaning = nearly_meant_by(typed, self._names)
            self._meanings[typed] = meaning
        return self._meanings[typed]

    def _stands_in_texts(self, typed: str) -> bool:
        if self.held:
            return bool(text_rows(self.held, typed).any())
        return self.queryset.order_by().filter(in_texts(typed)).exists()

    def leaving_out(self, *names: str) -> QuerySet[Outcome]:
        """What all parameters but these find, in no order; what could not be read finds nothing less."""
        found = self.queryset.order_by()
        for name, value in self.form.cleaned_data.items():
            if name not in names and value:
                found = self.filters[name].filter(found, value)
        return found

    def found(self) -> QuerySet[Outcome]:
        """What the search finds, in no order."""
        return self.leaving_out()

    def in_order(self) -> QuerySet[Outcome]:
        """What the search finds, in the order asked for."""
        sort = Sort(self.said("sort") or Sort.NEWEST)
        if sort is Sort.NEAREST:
            nearest = (FigureOf(self.apart),) if self.apart is not None else ()
            return self.found().order_by(*nearest, *NEWEST)
        return self.found().order_by(*ORDERS[sort])

    @cached_property
    def _reached(self) -> dict[tuple[float, float, float], dict[int, float]]:
        return {}

    def within_reach(self, asked: tuple[float, float, float]) -> dict[int, float]:
        """ΔE00 of each outcome within reach of a colour, by its key; worked out once for all counts of a search."""
        if asked not in self._reached:
            most = self.said("within") or USUAL_DE
            keys, lab = self._boxed(box_around(asked, most))
            places, apart = within(lab, asked, most)
            self._reached[asked] = dict(zip(keys[places].tolist(), apart.round(4).tolist(), strict=True))
        return self._reached[asked]

    def _boxed(self, box: Box) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
        """The keys and colours of outcomes in a box of L*a*b*."""
        if self.held:
            places = colours_in(self.held, box.low, box.high)
            return self.held.rows.keys[places], np.column_stack(self.held.rows.lab)[places]
        boxed = self.queryset.order_by().filter(in_box(box))
        rows = np.array([*boxed.values_list("pk", "lab_l", "lab_a", "lab_b")], np.float64).reshape(-1, 4)
        return rows[:, 0].astype(np.int64), rows[:, 1:]

    @property
    def apart(self) -> dict[int, float] | None:
        """ΔE00 from the colour asked for, by outcomes' keys; None where no colour is asked for."""
        asked = self.said("like") or self.said("near")
        return self.within_reach(asked) if asked else None

    def said(self, name: str) -> Any:
        """What a parameter says, None where it says nothing or nothing readable."""
        return self.form.cleaned_data.get(name)
