"""Judging by taps."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict

from firings.forms import FigureField
from firings.moments import mark_of, moment_of
from tiles.models import Outcome
from tiles.unloading.judgement import LONGEST_RUN_MM, RUNS_MM, Judgement, in_order
from tiles.vocabulary import Degree, FlawKind, Opacity, Severity, Surface, Verdict

# Flaws with a button of their own; the others wait behind "more" (common practice, no source).
COMMON_FLAWS = (FlawKind.CRAZING, FlawKind.CRAWLING, FlawKind.PINHOLING, FlawKind.BLISTERING)
RARER_FLAWS = tuple(kind for kind in FlawKind if kind not in COMMON_FLAWS)
RUN_CHOICES = [(str(run), str(run)) for run in RUNS_MM]
SEVERITIES = [("", "none"), *Severity.choices()]
MORE = {"pooling": "pooling", "gloss": "gloss_gu", "remark": "remark"}
# What "same as" takes over: what the eye sees, not what an instrument read or a remark about one tile.
COPIED = (
    "surface", "opacity", "run", "run_own", "runs_off", "verdict", "breaking", "pooling",
    *(f"flaw_{kind.value}" for kind in FlawKind),
)  # fmt: skip
NOTHING = "Tap at least the surface, a flaw, or write a remark."
NOT_A_CHOICE = {"invalid_choice": "“%(value)s” is none of the answers; choose one of the buttons."}


def _scale(choices: list[tuple[str, str]], label: str) -> forms.ChoiceField:
    radios = forms.RadioSelect(attrs={"class": "choices--scale", "data-untap": ""})
    return forms.ChoiceField(
        choices=choices, label=label, required=False, widget=radios, error_messages=NOT_A_CHOICE
    )


class JudgementForm(forms.Form):
    """One zone, every answer one tap. A run that has no button is typed, and counts before the buttons."""

    surface = _scale(Surface.choices(), "Surface")
    opacity = _scale(Opacity.choices(), "Opacity")
    run = _scale(RUN_CHOICES, "Run, mm")
    run_own = FigureField(label="Another run, mm", required=False, min_value=0, max_value=LONGEST_RUN_MM)
    runs_off = forms.BooleanField(label="off the foot", required=False)
    verdict = _scale(Verdict.choices(), "Verdict")
    breaking = _scale(Degree.choices(), "Breaking over texture")
    pooling = _scale(Degree.choices(), "Pooling")
    gloss_gu = FigureField(label="Gloss at 60°, GU", required=False, min_value=0, max_value=200)
    remark = forms.CharField(
        label="Remark",
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2, "autocapitalize": "sentences", "enterkeyhint": "done"}),
    )
    # In microseconds since 1970; the year 9999 is late enough.
    seen = forms.IntegerField(
        required=False, min_value=0, max_value=253_402_300_799_000_000, widget=forms.HiddenInput
    )

    use_required_attribute = False

    def __init__(self, *args: Any, textured: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for kind in FlawKind:
            self.fields[f"flaw_{kind.value}"] = forms.ChoiceField(
                choices=SEVERITIES, label=kind.label, required=False, error_messages=NOT_A_CHOICE
            )
        if not textured:
            del self.fields["breaking"]
        self.fields["run_own"].widget.attrs.update({"class": "run-own", "placeholder": "mm"})

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if not self.errors and not self.judgement().says_something:
            self.add_error("surface", NOTHING)
        return given

    def judgement(self) -> Judgement:
        """What was tapped and typed."""
        given = self.cleaned_data
        run = given["run_own"] if given.get("run_own") is not None else given["run"]
        return Judgement(
            surface=given["surface"],
            opacity=given["opacity"],
            run_mm=Decimal(run) if run != "" else None,
            runs_off=given["runs_off"],
            pooling=given["pooling"],
            breaking=given.get("breaking", ""),
            gloss_gu=given["gloss_gu"],
            verdict=given["verdict"],
            remark=given["remark"],
            flaws=self._flaws(),
        )

    def _flaws(self) -> tuple[tuple[str, str], ...]:
        given = {kind.value: self.cleaned_data.get(f"flaw_{kind.value}", "") for kind in FlawKind}
        return in_order([(kind, severity) for kind, severity in given.items() if severity])

    def common_flaws(self) -> list[forms.BoundField]:
        return [self[f"flaw_{kind.value}"] for kind in COMMON_FLAWS]

    def rarer_flaws(self) -> list[forms.BoundField]:
        return [self[f"flaw_{kind.value}"] for kind in RARER_FLAWS]

    @property
    def more_words(self) -> str:
        """What is filled in behind "more", in a line."""
        flaws = [str(field.label) for field in self.rarer_flaws() if field.value()]
        others = [
            name
            for name in ("pooling", "gloss", "remark")
            if self[MORE[name]].value() not in (None, "", "none")
        ]
        return ", ".join([*flaws, *others])

    @property
    def has_trouble_in_more(self) -> bool:
        """Whether an error stands behind "more", so that it must be open."""
        return any(field.errors for field in (*self.rarer_flaws(), *(self[name] for name in MORE.values())))


def prefix_of(outcome: Outcome) -> str:
    """A zone's fields in the form of its tile: z2-surface."""
    return f"z{outcome.zone.position}"


def values_of(judgement: Judgement) -> dict[str, Any]:
    """A judgement as the fields of the form."""
    run = "" if judgement.run_mm is None else f"{judgement.run_mm.normalize():f}"
    has_button = run in dict(RUN_CHOICES)
    plain = ("surface", "opacity", "runs_off", "pooling", "breaking", "gloss_gu", "verdict", "remark")
    return {
        **{name: getattr(judgement, name) for name in plain},
        "run": run if has_button else "",
        "run_own": "" if has_button else run,
        **{f"flaw_{kind}": severity for kind, severity in judgement.flaws},
    }


class TileJudging:
    """The forms of a tile's zones, as one form."""

    nothing = NOTHING

    def __init__(self, outcomes: Iterable[Outcome], forms_by_zone: Mapping[int, JudgementForm]) -> None:
        self.zones = [(outcome, forms_by_zone[outcome.pk]) for outcome in outcomes]

    def is_valid(self) -> bool:
        """Whether every zone is in order; each is asked, so that all errors show at once."""
        valid = [form.is_valid() for _, form in self.zones]
        return all(valid)

    def judgements(self) -> dict[int, Judgement]:
        return {outcome.pk: form.judgement() for outcome, form in self.zones}

    def seen(self) -> dict[int, Any]:
        """When the judgements on the screen were made, by their outcomes."""
        marks = {outcome.pk: form.cleaned_data.get("seen") for outcome, form in self.zones}
        return {pk: moment_of(mark) if mark else None for pk, mark in marks.items()}


def judging_of(outcomes: Iterable[Outcome], starts: Mapping[int, Judgement]) -> TileJudging:
    """Forms that start from these judgements."""
    rows = list(outcomes)
    return TileJudging(rows, {row.pk: _form(row, initial=_initial(row, starts[row.pk])) for row in rows})


def judging_typed(outcomes: Iterable[Outcome], data: QueryDict) -> TileJudging:
    """Forms as they were sent."""
    rows = list(outcomes)
    return TileJudging(rows, {row.pk: _form(row, data) for row in rows})


def judging_shown(outcomes: Iterable[Outcome], data: QueryDict) -> TileJudging:
    """Forms that show what was sent without holding anything against it: more is still to be filled in."""
    rows = list(outcomes)
    return TileJudging(rows, {row.pk: _form(row, initial=_shown(row, data)) for row in rows})


def as_fields(outcomes: Iterable[Outcome], judgements: Mapping[int, Judgement]) -> dict[str, str]:
    """Judgements as the fields of a tile's form, for filling it."""
    fields: dict[str, str] = {}
    for outcome in outcomes:
        if outcome.pk in judgements:
            values = dict.fromkeys(COPIED, "") | values_of(judgements[outcome.pk])
            fields |= {f"{prefix_of(outcome)}-{name}": _sent(values[name]) for name in COPIED}
    return fields


def with_zone_above(outcomes: Iterable[Outcome], data: QueryDict, position: str) -> QueryDict:
    """What was sent, with the zone at this position filled like the one above it."""
    prefixes = [prefix_of(outcome) for outcome in outcomes]
    typed = data.copy()
    if f"z{position}" in prefixes[1:]:
        here = prefixes.index(f"z{position}")
        for name in COPIED:
            typed[f"{prefixes[here]}-{name}"] = data.get(f"{prefixes[here - 1]}-{name}", "")
    return typed


def values_sent(outcome: Outcome, start: Judgement) -> dict[str, str]:
    """What a zone's fields would send that start from this judgement; those that are empty are left out."""
    sent = {name: _sent(value) for name, value in _initial(outcome, start).items()}
    return {name: value for name, value in sent.items() if value}


def _sent(value: Any) -> str:
    """A value as a form sends it."""
    return "on" if value is True else "" if value in (None, False) else str(value)


def _shown(outcome: Outcome, data: QueryDict) -> dict[str, Any]:
    start = f"{prefix_of(outcome)}-"
    return {name.removeprefix(start): value for name, value in data.dict().items() if name.startswith(start)}


def _form(outcome: Outcome, data: QueryDict | None = None, **more: Any) -> JudgementForm:
    return JudgementForm(data, prefix=prefix_of(outcome), textured=outcome.textured, **more)


def _initial(outcome: Outcome, start: Judgement) -> dict[str, Any]:
    return {**values_of(start), "seen": mark_of(outcome.judged_at)}
