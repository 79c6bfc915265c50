"""What many results are to say alike, and which of them."""

import hashlib
import re
from datetime import datetime
from typing import Any

from django import forms

from firings.moments import moment_of
from tiles.together.change import NOT_THERE, Change
from tiles.vocabulary import FlawKind, Opacity, Severity, Surface, Verdict

LEAVE = ("", "leave as it is")
# A key and a moment in microseconds since 1970; the year 9999 has eighteen digits.
TICK = re.compile(r"([0-9]{1,15})\.([0-9]{1,17})")


def _of(choices: list[tuple[str, str]], label: str) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=[LEAVE, *choices], required=False)


class TogetherForm(forms.Form):
    """One change to the results that are ticked."""

    verdict = _of(Verdict.choices(), "Verdict")
    surface = _of(Surface.choices(), "Surface")
    opacity = _of(Opacity.choices(), "Opacity")
    flaw = _of(FlawKind.choices(), "Flaw")
    severity = forms.ChoiceField(
        label="How much of it",
        choices=[*Severity.choices(), (NOT_THERE, "not there: take it off")],
        required=False,
    )
    remark = forms.CharField(
        label="Add to the remark",
        max_length=500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="What the remarks say already stays.",
    )

    @property
    def ticked(self) -> list[str]:
        """What was ticked, as it was sent."""
        return list(self.data.getlist("r")) if self.is_bound else []  # type: ignore[attr-defined]

    def seen(self) -> dict[int, datetime | None]:
        """When the judgements on the screen were made, by the ticked results' keys; what is no tick is passed over."""
        read = [match for one in self.ticked if (match := TICK.fullmatch(one))]
        return {int(match[1]): moment_of(int(match[2])) if int(match[2]) else None for match in read}

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if not self.seen():
            self.add_error(None, "Tick at least one result.")
        if not self.errors and not self.change().says_something:
            self.add_error(None, "Say what to change: a verdict, surface, opacity, flaw or a remark.")
        return given

    def change(self) -> Change:
        """What was chosen and typed."""
        given = self.cleaned_data
        return Change(
            given["surface"],
            given["opacity"],
            given["verdict"],
            given["remark"].strip(),
            given["flaw"],
            given["severity"] or Severity.SLIGHT.value if given["flaw"] else "",
        )

    def looked(self) -> str:
        """Stands for what was ticked and chosen; a change is made only as it was looked over."""
        said = repr((sorted(self.ticked), self.change()))
        return hashlib.sha256(said.encode()).hexdigest()[:24]
