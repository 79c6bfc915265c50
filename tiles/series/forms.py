"""What people type about a series, and which tiles they take into it."""

from django import forms
from django.core.exceptions import ValidationError

from firings.forms import KeptForm
from tiles import numbers
from tiles.models import Series, Tile
from tiles.recording.forms import read_numbers


class SeriesForm(KeptForm):
    """A series: what it is called and what it should answer."""

    once = ("name",)

    class Meta:
        model = Series
        fields = ["name", "question", "state", "note"]
        widgets = {"question": forms.Textarea(attrs={"rows": 3}), "note": forms.Textarea(attrs={"rows": 3})}


class SeriesAddForm(SeriesForm):
    """The few facts needed to go on."""

    class Meta(SeriesForm.Meta):
        fields = ["name", "question"]


class AssignForm(forms.Form):
    """Tiles to take into a series, by number."""

    tiles = forms.CharField(label="Tile numbers, a comma between", widget=forms.Textarea(attrs={"rows": 2}))

    def clean_tiles(self) -> list[Tile]:
        asked = read_numbers(self.cleaned_data["tiles"])
        found = list(Tile.objects.filter(number__in=asked))
        if missing := set(asked) - {tile.number for tile in found}:
            labels = ", ".join(numbers.write(number) for number in sorted(missing))
            raise ValidationError(
                f"There is no tile {labels}. Take the number out, or record the tile first."
            )
        return found
