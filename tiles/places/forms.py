"""A place's name, and the tiles that are put there or are to be brought."""

from django import forms

from firings.forms import KeptForm
from tiles.boards.forms import tiles_typed
from tiles.models import Place, Tile


class PlaceForm(KeptForm):
    """A box, a shelf or a drawer by its name."""

    once = ("name",)
    stays = ("kind",)

    class Meta:
        model = Place
        fields = ("name", "kind", "note")
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "off"}),
            "note": forms.Textarea(attrs={"rows": 2}),
        }
        help_texts = {"name": "As it is written on it, such as: Box 3."}


class TilesForm(forms.Form):
    """Tiles by their numbers, typed or scanned, any number of them."""

    numbers = forms.CharField(
        label="Tile numbers",
        max_length=20_000,
        help_text="Typed or scanned, one a line or with commas between.",
        widget=forms.Textarea(attrs={"rows": 3, "autocomplete": "off"}),
    )

    def clean_numbers(self) -> list[Tile]:
        return tiles_typed(self.cleaned_data["numbers"])
