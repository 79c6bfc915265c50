"""What the planner's pages show: the form's menus, and what a plan comes to in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from firings.http import StudioRequest
from tiles.models import Series
from tiles.planner import services
from tiles.planner.drawing import TradeOff, milestones, trade_off
from tiles.planner.forms import APART, CHOSEN, TITLES, PlanForm, rule_of, rule_value, rule_words
from tiles.planner.queries import Existing, OnHand
from tiles.planner.reckoning import Reckoned, Unfinished
from tiles.plans.covering import ImpossiblePlan
from tiles.plans.laying import Coat
from tiles.plans.loads import FIRE
from tiles.plans.mixes import mixes_of
from tiles.plans.sketch import NONE, RISING, NeverRule, Sketch

# What is listed on the page; the sheet on paper has all.
TILES_SHOWN, EXISTING_SHOWN = 60, 40
ADDS = {
    "glaze": "add a glaze",
    "under": "add what goes under",
    "over": "add what goes over",
    "body": "add a body",
    "form": "add a form",
    "lot": "add a lot",
}


@dataclass(frozen=True, slots=True)
class Level:
    """A level that may be ticked."""

    value: str
    words: str
    is_on: bool
    swatch: str = ""


@dataclass(frozen=True, slots=True)
class Chooser:
    """The levels of one factor: those chosen as ticks, the others in a menu."""

    name: str
    title: str
    chosen: tuple[Level, ...]
    others: tuple[tuple[str, str], ...]
    adds: str


@dataclass(frozen=True, slots=True)
class RuleTick:
    """A rule that holds, or one that what is known of a body or glaze suggests."""

    value: str
    words: str
    is_on: bool


def page_of(form: PlanForm, request: StudioRequest, series: Series | None = None) -> dict[str, Any]:
    """Everything the page of a plan shows."""
    return {
        "form": form,
        "series": series,
        "choosers": {name: chooser(name, form) for name in CHOSEN},
        "mix": chooser("mix", form),
        "methods": _ticks(form, "method"),
        "atmospheres": _ticks(form, "atmosphere"),
        "sides": _ticks(form, "side_by_side"),
        "rules": rule_ticks(form),
        "rule_levels": _rule_menu(form, [name for name in TITLES if name not in RISING]),
        "rule_bounds": _rule_menu(form, list(TITLES)),
        "outlook": outlook(form, series),
    }


def _values(form: PlanForm, name: str) -> list[str]:
    return [str(value) for value in form[name].value() or ()]


def _ticks(form: PlanForm, name: str) -> list[Level]:
    on = _values(form, name)
    return [Level(value, words, value in on) for value, words in form.fields[name].choices]  # type: ignore[attr-defined]


def chooser(name: str, form: PlanForm) -> Chooser:
    """A factor's levels; "nothing" is always there to tick, and the lots are those of the glazes chosen."""
    hand, chosen = form.hand, _values(form, name)
    names = hand.names["glaze" if name == "mix" else name]
    if name == "lot":
        own = {lot for glaze in _values(form, "glaze") for lot in hand.own_lots.get(glaze, ())}
        names = {key: words for key, words in names.items() if key in own}
    shown = [key for key in dict.fromkeys([NONE, *chosen] if NONE in names else chosen) if key in names]
    return Chooser(
        name,
        TITLES.get(name, "Blend of"),
        tuple(
            Level(key, names[key], key in chosen, hand.swatches.get(key, ""))
            for key in shown
            if name not in ("body", "form")
        )
        or tuple(
            Level(key, words, key in chosen) for key, words in names.items() if name in ("body", "form")
        ),
        tuple(
            (key, words) for key, words in names.items() if key not in shown and name not in ("body", "form")
        ),
        ADDS.get(name, "add a glaze"),
    )


def rule_ticks(form: PlanForm) -> list[RuleTick]:
    """The rules of the plan, then those that the ranges in the catalogue suggest."""
    values = getattr(form, "rules", None)
    standing = (
        [rule_value(rule) for rule in values]
        if values is not None
        else [str(one) for one in form["rule"].value() or ()]
    )
    ticks = [
        RuleTick(value, rule_words(rule, form.hand), is_on=True)
        for value in standing
        if (rule := rule_of(value)) is not None
    ]
    return ticks + [
        RuleTick(rule_value(rule), rule_words(rule, form.hand), is_on=False)
        for rule in suggested(form.sketch, form.hand)
        if rule_value(rule) not in standing
    ]


def suggested(sketch: Sketch, hand: OnHand) -> list[NeverRule]:
    """Rules from the ranges that bodies and glazes are meant for, where the plan's cones go beyond them."""
    orders = [int(level) for level in sketch.levels.get("cone", ())]
    found = _held(sketch, hand)
    if len(orders) < 2:
        return found
    for factor, ranges in (("body", hand.body_cones), ("glaze", hand.glaze_cones)):
        for level in sketch.levels.get(factor, ()):
            low, high = ranges.get(level, (None, None))
            if high and min(orders) <= high < max(orders):
                found.append(NeverRule(factor, level, "above", "cone", str(high)))
            if low and min(orders) < low <= max(orders):
                found.append(NeverRule(factor, level, "below", "cone", str(low)))
    return found


def _held(sketch: Sketch, hand: OnHand) -> list[NeverRule]:
    """Bodies that are always held, where the plan has a shorter hold beside one long enough."""
    holds = [int(level) for level in sketch.levels.get("hold", ())]
    return [
        NeverRule("body", body, "below", "hold", str(least))
        for body in sketch.levels.get("body", ())
        if holds and (least := hand.body_holds.get(body)) and min(holds) < least <= max(holds)
    ]


def _rule_menu(form: PlanForm, factors: Sequence[str]) -> list[tuple[str, list[tuple[str, str]]]]:
    """The levels of the plan by factor, for the menus of a rule."""
    levels = form.sketch.levels
    return [
        (TITLES[name], [(f"{name}|{level}", form.hand.words(name, level)) for level in levels[name]])
        for name in factors
        if levels.get(name)
    ]


@dataclass(frozen=True, slots=True)
class ZoneWords:
    """What goes on a zone, or on several that get the same."""

    zones: str
    words: str


@dataclass(frozen=True, slots=True)
class TileWords:
    """One tile of the plan in words."""

    rank: int
    clay: str
    fire: str
    stand: str
    zones: tuple[ZoneWords, ...]
    share: str


@dataclass(frozen=True, slots=True)
class MixWords:
    """A mix of a blend: what to weigh, what the plan takes of it wet, and whether the batch is too small for that."""

    name: str
    weighed: str
    takes: str
    is_short: bool


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a plan comes to, or why it cannot be worked out."""

    trouble: str = ""
    reckoned: Reckoned | None = None
    figures: tuple[tuple[str, str, str], ...] = ()
    glazes: tuple[tuple[str, str], ...] = ()
    fires: tuple[str, ...] = ()
    tiles: tuple[TileWords, ...] = ()
    more_tiles: int = 0
    curve: TradeOff | None = None
    milestones: tuple[tuple[int, str], ...] = ()
    existing: tuple[Existing, ...] = ()
    existing_count: int = 0
    more_existing: int = 0
    mixes: tuple[MixWords, ...] = ()
    said: str = ""
    basis: str = ""


def _wrong_words(form: PlanForm) -> str:
    """What on the form does not read, by its fields: the page is long, and marks nothing as one types."""
    told = [
        f"{form.fields[name].label}: {errors[0]}" if name in form.fields else str(errors[0])
        for name, errors in form.errors.items()
        if name not in APART
    ]
    return " ".join(told)


def outlook(form: PlanForm, series: Series | None = None) -> Outlook:
    """What the form's plan comes to, as far as it reads."""
    if form.is_bound and not form.plan_reads:
        return Outlook(trouble=f"The plan cannot be worked out yet. {_wrong_words(form)}")
    try:
        found, there = services.work_out(form.sketch, form.hand, series)
    except (Unfinished, ImpossiblePlan) as trouble:
        return Outlook(trouble=str(trouble))
    listed, count = there.first(found.listed.counted, EXISTING_SHOWN)
    return Outlook(
        reckoned=found,
        figures=tuple(_figures(found, form.sketch)),
        glazes=tuple(_glaze_rows(found, form.hand)),
        fires=tuple(_fire_rows(found, form.hand)),
        tiles=tuple(tile_rows(found, form.hand)[:TILES_SHOWN]),
        more_tiles=max(0, len(found.tiles) - TILES_SHOWN),
        curve=trade_off(found.listed.curve, found.listed.shown_before, len(found.listed.tiles)),
        milestones=tuple((count, f"{share:.0%}") for count, share in milestones(found.listed.curve)),
        existing=tuple(listed),
        existing_count=count,
        more_existing=count - len(listed),
        mixes=tuple(_mix_rows(found, form.sketch, form.hand)),
        said=_said(found, form.sketch),
        basis=_laydown_words(found, form.hand),
    )


def _laydown_words(found: Reckoned, hand: OnHand) -> str:
    """What the amounts of glaze rest on."""
    asked = {glaze for glaze, _ in found.totals.glaze_g}
    weighed = sorted(hand.words("glaze", glaze) for glaze in asked if glaze in hand.laydown)
    others = "as the studio’s other glazes" if "" in hand.laydown else "by common practice"
    if not weighed:
        return f"What a coat takes: {others}. Weigh a few tiles of a glaze to know better."
    rest = f"; of the others {others}" if len(weighed) < len(asked) else ""
    return f"What a coat takes: as weighed here of {', '.join(weighed)}{rest}."


def _said(found: Reckoned, sketch: Sketch) -> str:
    """How good the list is, in one sentence."""
    listed = found.listed
    if not listed.tiles:
        return "All of it exists already." if listed.counted else "Nothing to make."
    meeting = "three conditions" if sketch.way == "threes" else "two conditions"
    if listed.cut:
        return f"{listed.share:.0%} of the ways {meeting} can meet; {listed.cut} more tiles would show all."
    if sketch.way == "all":
        return "Every combination the rules allow."
    smallest = "No smaller set does it." if listed.is_smallest else ""
    return f"Every {meeting} that may meet do. {smallest}".strip()


def _figures(found: Reckoned, sketch: Sketch) -> list[tuple[str, str, str]]:
    """Label, figure, and what it rests on."""
    total = found.totals
    rows = [
        ("Tiles", str(total.tiles), f"{total.outcomes} results to judge"),
        (
            "Clay",
            f"{total.clay_kg:.2g} kg" if total.clay_kg < 10 else f"{total.clay_kg:.0f} kg",
            "wet, with waste",
        ),
        ("Glaze", grams(sum(total.glaze_g.values())), "as it is brushed, with waste"),
        ("Shelf", f"{total.shelf_cm2 / 10_000:.2f} m²", "with 10 mm between tiles"),
        ("Firings", str(total.firings), f"{total.glaze_firings} glaze, {total.bisque_firings} bisque"),
        (
            "Days",
            str(total.days),
            f"{sketch.tiles_a_day} tiles a day, {sketch.days_a_firing:g} days a firing",
        ),
    ]
    if total.cost is not None:
        rows.append(("Cost", f"{total.cost:.2f}", _priced_by(sketch)))
    return rows


def _priced_by(sketch: Sketch) -> str:
    """Which prices the cost rests on."""
    known = [
        *(["clay"] if sketch.clay_price_kg is not None else []),
        *(["glaze"] if sketch.glaze_price_kg is not None else []),
    ]
    if sketch.firing_price is not None:
        known.append("firings")
    elif sketch.kiln:
        known.append("firings, by the last ten")
    return f"of {', '.join(known)} alone" if len(known) < 3 else "of clay, glaze and firings"


def grams(mass_g: float) -> str:
    """A mass as one reads it off a scale: to the gram, from a kilogram on to ten."""
    return f"{mass_g:.0f} g" if mass_g < 1000 else f"{mass_g / 1000:.2f} kg"


def _glaze_rows(found: Reckoned, hand: OnHand) -> list[tuple[str, str]]:
    rows = [
        (
            hand.words("glaze", glaze) + (f", {hand.names['lot'][lot].split(', ', 1)[-1]}" if lot else ""),
            mass_g,
        )
        for (glaze, lot), mass_g in found.totals.glaze_g.items()
    ]
    return [(words, grams(mass_g)) for words, mass_g in sorted(rows, key=lambda row: -row[1])]


def fire_words(fire: Mapping[str, str], hand: OnHand) -> str:
    """A firing of the plan: "cone 6, oxidation, 10 min hold"."""
    return ", ".join(hand.words(name, fire[name]) for name in FIRE if fire.get(name)) or "cone not decided"


def _fire_rows(found: Reckoned, hand: OnHand) -> list[str]:
    counts = [0] * len(found.loads.fires)
    for stand in found.loads.stands:
        counts[stand.firing - 1] += 1
    return [
        f"{fire_words(fire, hand)}: {count} tile{'' if count == 1 else 's'}"
        for fire, count in zip(found.loads.fires, counts, strict=True)
    ]


def tile_rows(found: Reckoned, hand: OnHand) -> list[TileWords]:
    """The tiles in the random order of their making."""
    rows = []
    for rank, place in enumerate(found.in_order, start=1):
        tile, stand = found.tiles[place], found.loads.stands[place]
        first = tile.first
        rows.append(
            TileWords(
                rank,
                f"{hand.words('body', first['body'])}, {hand.words('form', first['form'])}",
                fire_words(first, hand),
                f"firing {stand.firing}" + (f", shelf {stand.shelf}" if stand.shelf else ""),
                tuple(zone_rows(found.made[place].coats, hand)),
                f"{tile.share:.0%}",
            )
        )
    return rows


def zone_rows(coats: Mapping[str, Sequence[Coat]], hand: OnHand) -> list[ZoneWords]:
    """Zones with what goes on them, bottom to top; those that get the same in one line."""
    by_words: dict[str, list[str]] = {}
    for zone, stack in coats.items():
        words = " + ".join(f"{hand.words('glaze', coat.glaze)} {coat.words}" for coat in stack)
        by_words.setdefault(words, []).append(zone)
    return [ZoneWords(", ".join(zones), words) for words, zones in by_words.items()]


def _mix_rows(found: Reckoned, sketch: Sketch, hand: OnHand) -> list[MixWords]:
    """What to weigh for each mix, and what the plan takes of it."""
    names = [hand.words("glaze", glaze) for glaze in sketch.mixing.glazes]
    takes = {glaze: mass_g for (glaze, _), mass_g in found.totals.glaze_g.items()}
    return [
        MixWords(
            hand.words("glaze", level),
            ", ".join(
                f"{name} {mass_g:g} g" for name, mass_g in zip(names, mix.masses_g, strict=True) if mass_g
            ),
            grams(takes.get(level, 0)),
            takes.get(level, 0) > sketch.mixing.batch_g,
        )
        for level, mix in mixes_of(sketch.mixing).items()
    ]
