"""A plan as people type it: levels chosen and listed, rules from menus, figures with comma or point."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from firings.cones import series as cones
from firings.forms import Difference, FigureField, KeptForm, read_typed
from firings.models import Kept
from firings.vocabulary import Atmosphere
from tiles.models import Series
from tiles.planner.queries import OnHand
from tiles.plans.listing import read_listed
from tiles.plans.mixes import mixes_of
from tiles.plans.sketch import (
    MOST_COPIES,
    MOST_TILES,
    NONE,
    OF_THE_ZONE,
    RESTS,
    RISING,
    VERBS,
    WAYS,
    Mixing,
    NeverRule,
    Sketch,
    UnreadablePlan,
    in_order,
    without_makings,
)
from tiles.recording.pattern import read_cones
from tiles.vocabulary import Method

CHOSEN = ("glaze", "under", "over", "lot", "body", "form")
TITLES = {
    "glaze": "Glaze",
    "under": "Under it",
    "over": "Over it",
    "coats": "Coats",
    "method": "Method",
    "lot": "Lot",
    "body": "Clay body",
    "form": "Tile form",
    "cone": "Cone",
    "atmosphere": "Atmosphere",
    "hold": "Hold",
}
WAY_WORDS = {
    "all": "every combination",
    "pairs": "few tiles: every two conditions meet",
    "threes": "more tiles: every three meet",
}
REST_WORDS = {"same": "glazed like the last band", "bare": "left bare"}
# Fields that stand in a plan as they are typed, and those that are figures there.
PLAIN = (
    *("way", "rest", "existing_counts", "copies", "most", "seed", "under_coats", "over_coats"),
    *("kiln", "bisque", "tiles_a_day"),
)
# What is no part of the plan itself.
APART = {"name", "question", "stamp"}
FIGURES = ("waste_pct", "days_a_firing", "clay_price_kg", "glaze_price_kg", "firing_price")
WHOLE = {"inputmode": "numeric", "autocomplete": "off"}
DEFAULT_COATS = "1, 2, 3"


def whole(label: str, low: int, high: int, **more: Any) -> forms.IntegerField:
    """A whole number within bounds, and what to do where it is not."""
    words = f"Write a whole number, {low} to {high}."
    return forms.IntegerField(
        min_value=low,
        max_value=high,
        label=label,
        widget=forms.TextInput(attrs=WHOLE),
        error_messages=dict.fromkeys(("required", "invalid", "min_value", "max_value"), words),
        **more,
    )


def figure(label: str, high: int, **more: Any) -> FigureField:
    """A figure from 0 to `high`."""
    words = f"Write a figure from 0 to {high}."
    return FigureField(
        min_value=0,
        max_value=high,
        label=label,
        error_messages=dict.fromkeys(("required", "min_value", "max_value"), words),
        **more,
    )


class LevelsField(forms.MultipleChoiceField):
    """Levels of one factor; what is not on hand any more is left out, as a plan outlives a glaze put in the bin."""

    def clean(self, value: Any) -> list[str]:
        known = dict(self.choices)  # type: ignore[arg-type]
        return [level for level in dict.fromkeys(value or ()) if level in known]


class PlanForm(KeptForm):
    """A series and the plan it is made by. `hand` is all there is to choose from."""

    instance: Series
    once = ("name",)

    glaze = LevelsField(required=False)
    under = LevelsField(required=False)
    over = LevelsField(required=False)
    lot = LevelsField(required=False)
    body = LevelsField(required=False)
    form = LevelsField(required=False)
    method = forms.MultipleChoiceField(required=False, choices=Method.choices())
    atmosphere = forms.MultipleChoiceField(required=False, choices=Atmosphere.choices())
    coats = forms.CharField(required=False, label="Coats", max_length=60)
    cones = forms.CharField(required=False, label="Cones", max_length=120)
    holds = forms.CharField(required=False, label="Hold at the top, min", max_length=60)
    under_coats = whole("Coats of what goes under", 1, 10)
    over_coats = whole("Coats of what goes over", 1, 10)
    mix = LevelsField(required=False)
    mix_steps = whole("Steps from one glaze to the next", 1, 20)
    mix_batch_g = figure("Each mix, g", 100_000)
    rule = forms.MultipleChoiceField(required=False)
    rule_level = forms.CharField(required=False, max_length=60)
    rule_verb = forms.ChoiceField(required=False, choices=[(verb, verb) for verb in VERBS])
    rule_bound = forms.CharField(required=False, max_length=60)
    way = forms.ChoiceField(choices=[(way, WAY_WORDS[way]) for way in WAYS], widget=forms.RadioSelect)
    side_by_side = forms.MultipleChoiceField(
        required=False,
        choices=[(factor, TITLES[factor].casefold()) for factor in OF_THE_ZONE],
        widget=forms.CheckboxSelectMultiple,
    )
    rest = forms.ChoiceField(choices=[(rest, REST_WORDS[rest]) for rest in RESTS], widget=forms.RadioSelect)
    existing_counts = forms.BooleanField(required=False, label="Tiles that exist count")
    copies = whole("Of each tile", 1, MOST_COPIES)
    most = whole("At most so many tiles", 0, MOST_TILES, required=False)
    seed = whole("Order", 0, 999_999)
    kiln = forms.ChoiceField(required=False)
    bisque = forms.BooleanField(required=False, label="The tiles still need a bisque firing")
    waste_pct = figure("Waste, %", 200)
    tiles_a_day = whole("Tiles glazed in a day", 1, 500)
    days_a_firing = figure("Days to a firing", 30)
    clay_price_kg = figure("Price of clay, a kg", 10_000, required=False)
    glaze_price_kg = figure("Price of wet glaze, a kg", 10_000, required=False)
    firing_price = figure("Price of a firing", 100_000, required=False)

    class Meta:
        model = Series
        fields: ClassVar[list[str]] = ["name", "question"]
        widgets: ClassVar[dict[str, Any]] = {"question": forms.Textarea(attrs={"rows": 2})}

    def __init__(self, data: QueryDict | None, *, hand: OnHand, sketch: Sketch, **more: Any) -> None:
        more["initial"] = {**typed_of(sketch), **more.get("initial", {})}
        super().__init__(data, **more)
        self.hand, self.sketch = hand, sketch
        for factor in CHOSEN:
            self.fields[factor].choices = list(hand.names[factor].items())  # type: ignore[attr-defined]
        self.fields["mix"].choices = list(hand.names["glaze"].items())  # type: ignore[attr-defined]
        self.fields["kiln"].choices = [("", "not decided"), *hand.kilns.items()]  # type: ignore[attr-defined]
        rules = data.getlist("rule") if data is not None else [rule_value(rule) for rule in sketch.rules]
        self.fields["rule"].choices = [(one, one) for one in rules]  # type: ignore[attr-defined]

    def clean_coats(self) -> list[str]:
        return read_typed(read_listed, self.cleaned_data["coats"], 1, 20, "coats")

    def clean_holds(self) -> list[str]:
        return read_typed(read_listed, self.cleaned_data["holds"], 0, 6000, "minutes")

    def clean_cones(self) -> list[str]:
        text = self.cleaned_data["cones"]
        return [str(order) for order in read_typed(read_cones, text)] if text.strip() else []

    def clean_mix(self) -> list[str]:
        glazes: list[str] = self.cleaned_data["mix"]
        if len(glazes) == 1:
            raise ValidationError("A blend takes two glazes or more; choose another, or none.")
        return glazes

    def clean(self) -> dict[str, Any]:
        typed = super().clean()
        self.rules = self._rules(typed)
        if self.plan_reads:
            self.sketch = self._sketch(typed)
            self._check_mixing()
            self.instance.plan = {**self.instance.plan, **self.sketch.as_json()}
        return typed

    @property
    def plan_reads(self) -> bool:
        """Whether the plan is right, though the series may lack a name yet."""
        return set(self.errors) <= APART

    def pass_over(self, names: Iterable[str]) -> None:
        """Leave unsaid what is wrong with these, as nobody asked to keep them yet."""
        for name in names:
            self.errors.pop(name, None)

    def _rules(self, typed: Mapping[str, Any]) -> tuple[NeverRule, ...]:
        """Those that stand and the one from the menus."""
        rules = [rule for value in typed.get("rule", ()) if (rule := rule_of(value))]
        if typed.get("rule_level") or typed.get("rule_bound"):
            try:
                rules.append(typed_rule(typed))
            except ValueError as wrong:
                self.add_error("rule_level", str(wrong))
        return tuple(dict.fromkeys(rules))

    def _sketch(self, typed: Mapping[str, Any]) -> Sketch:
        levels = {factor: typed[factor] for factor in (*CHOSEN, "method", "atmosphere", "coats")}
        glazes = typed["glaze"] or typed["mix"]
        lots = self._lots(typed["lot"], glazes)
        levels |= {"cone": typed["cones"], "hold": typed["holds"], "lot": lots}
        plain: dict[str, Any] = {name: typed[name] for name in PLAIN}
        figures = {name: None if typed[name] is None else float(typed[name]) for name in FIGURES}
        return Sketch(
            levels=in_order(levels),
            rules=self.rules,
            mixing=Mixing(tuple(typed["mix"]), typed["mix_steps"], float(typed["mix_batch_g"])),
            side_by_side=tuple(typed["side_by_side"]),
            **{**plain, **figures, "most": typed["most"] or None},
        )

    def _lots(self, lots: Sequence[str], glazes: Sequence[str]) -> list[str]:
        """The lots of the glazes chosen, and "not said" where one of them has none of these."""
        own = [lot for lot in lots if any(lot in self.hand.own_lots.get(glaze, ()) for glaze in glazes)]
        left = [glaze for glaze in glazes if not self.hand.own_lots.get(glaze, frozenset()) & set(own)]
        return [*own, NONE] if own and left else own

    def _check_mixing(self) -> None:
        try:
            mixes_of(self.sketch.mixing)
        except ValueError as wrong:
            self.add_error("mix_steps", str(wrong))

    def differences(self, current: Kept) -> Iterator[Difference]:
        """Where the plan that was typed differs from what stands there now."""
        yield from super().differences(current)
        try:
            standing = Sketch.from_json(without_makings(current.plan))  # type: ignore[attr-defined]
        except UnreadablePlan:
            return
        for factor, title in TITLES.items():
            typed, stands = (self._words(factor, one) for one in (self.sketch, standing))
            if typed != stands:
                yield Difference(title, typed, stands)
        for name, field in (("way", "How many"), ("rules", "Rules"), ("copies", "Of each tile")):
            typed, stands = (self._plain(name, one) for one in (self.sketch, standing))
            if typed != stands:
                yield Difference(field, typed, stands)

    def _words(self, factor: str, sketch: Sketch) -> str:
        return ", ".join(self.hand.words(factor, level) for level in sketch.levels.get(factor, ()))

    def _plain(self, name: str, sketch: Sketch) -> str:
        if name == "rules":
            return "; ".join(rule_words(rule, self.hand) for rule in sketch.rules)
        return WAY_WORDS[sketch.way] if name == "way" else str(getattr(sketch, name))


def typed_of(sketch: Sketch) -> dict[str, Any]:
    """What stands in the boxes for a plan."""
    levels = sketch.levels
    return {
        **{factor: list(levels.get(factor, ())) for factor in (*CHOSEN, "method", "atmosphere")},
        "coats": ", ".join(levels.get("coats", ())),
        "cones": ", ".join(cones.label_of(int(order)) for order in levels.get("cone", ())),
        "holds": ", ".join(levels.get("hold", ())),
        "mix": list(sketch.mixing.glazes),
        "mix_steps": sketch.mixing.steps,
        "mix_batch_g": Decimal(str(sketch.mixing.batch_g)),
        "rule": [rule_value(rule) for rule in sketch.rules],
        "side_by_side": list(sketch.side_by_side),
        **{name: getattr(sketch, name) for name in PLAIN},
        **{name: None if (v := getattr(sketch, name)) is None else Decimal(str(v)) for name in FIGURES},
    }


def rule_value(rule: NeverRule) -> str:
    """A rule as the page sends it back."""
    return "|".join((rule.factor, rule.level, rule.verb, rule.other, rule.bound))


def rule_of(value: str) -> NeverRule | None:
    parts = value.split("|")
    if len(parts) != 5 or parts[2] not in VERBS or parts[0] not in TITLES or parts[3] not in TITLES:
        return None
    rule = NeverRule(*parts)
    return rule if _is_sound(rule) else None


def _is_sound(rule: NeverRule) -> bool:
    """Whether the figures of a rule that rises are figures."""
    return rule.verb == "with" or (rule.other in RISING and rule.bound.isdecimal())


def typed_rule(typed: Mapping[str, Any]) -> NeverRule:
    """The rule from the three menus, of which one that could not be read says nothing; raises ValueError in words."""
    first, second = typed.get("rule_level", "").partition("|"), typed.get("rule_bound", "").partition("|")
    if not first[2] or not second[2]:
        raise ValueError("A rule needs both: what is never made, and with what.")
    rule = rule_of("|".join((first[0], first[2], typed.get("rule_verb") or "with", second[0], second[2])))
    if rule is None:
        raise ValueError("Above and below go with a cone, a number of coats or a hold.")
    if rule.factor == rule.other:
        raise ValueError("A rule joins two different conditions, such as a body and a cone.")
    return rule


def rule_words(rule: NeverRule, hand: OnHand) -> str:
    """A rule in plain words: "Dune speckled never above cone 6"."""
    verb = "with" if rule.verb == "with" else rule.verb
    return f"{hand.words(rule.factor, rule.level)} never {verb} {hand.words(rule.other, rule.bound)}"


def from_address(asked: QueryDict, hand: OnHand, start: Sketch) -> Sketch:
    """A plan begun from the address: each parameter is a factor with the levels given, `rule` what is never made.

    What is unknown is left out, and a rule with it.
    """
    levels: dict[str, Sequence[str]] = dict(start.levels)
    for factor in ("glaze", "under", "over", "lot", "body", "form", "atmosphere", "method"):
        if known := [level for level in asked.getlist(factor) if level in hand.names[factor]]:
            levels[factor] = known
    for factor, low, high in (("cone", 1, 38), ("coats", 1, 20), ("hold", 0, 6000)):
        given = [level for level in asked.getlist(factor) if level.isascii() and level.isdecimal()]
        if known := [str(int(level)) for level in given if len(level) < 6 and low <= int(level) <= high]:
            levels[factor] = known
    if not levels.get("cone"):
        levels["cone"] = _meant_for(levels.get("glaze", ()), hand)
    rules = (rule_of(value) for value in asked.getlist("rule"))
    known_rules = dict.fromkeys(rule for rule in rules if rule and _joins(rule, levels))
    return replace(start, levels=in_order(levels), rules=(*start.rules, *known_rules))


def _joins(rule: NeverRule, levels: Mapping[str, Sequence[str]]) -> bool:
    """Whether a rule is between two different conditions, both with levels in the plan."""
    ends = ((rule.factor, rule.level), (rule.other, rule.bound))
    return rule.factor != rule.other and all(level in levels.get(factor, ()) for factor, level in ends)


def _meant_for(glazes: Sequence[str], hand: OnHand) -> list[str]:
    """The ends of the cones that the first of the glazes is meant for."""
    ends = hand.glaze_cones.get(glazes[0], ()) if glazes else ()
    return [str(order) for order in ends if order]
