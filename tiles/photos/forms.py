"""What comes with a photo."""

from django import forms
from django.core.exceptions import ValidationError

from firings.models import Firing
from tiles import numbers
from tiles.models import Placement, Tile, Zone
from tiles.tray.queries import firing_of_number


class ShownForm(forms.Form):
    """What a photo that arrives shows: a tile by its number, a place in a firing, a zone. All may be missing.

    `firing` is the number of the one on whose page it was sent; one that is not there costs nothing.
    `anyway` says that it shows this tile too, though it is on another already.
    """

    tile = forms.CharField(required=False, max_length=20)
    placement = forms.ModelChoiceField(Placement.objects.select_related("tile"), required=False)
    zone = forms.ModelChoiceField(Zone.objects.all(), required=False)
    firing = forms.CharField(required=False)
    anyway = forms.BooleanField(required=False)

    def clean_tile(self) -> Tile | None:
        """The tile of the number, if the number is sound and the tile here."""
        typed = self.cleaned_data["tile"]
        if not typed:
            return None
        try:
            number = numbers.read(typed)
        except ValueError as wrong:
            raise ValidationError(str(wrong)) from wrong
        tile = Tile.objects.filter(number=number).first()
        if tile is None:
            raise ValidationError(f"There is no tile {numbers.write(number)} here.")
        return tile

    def clean(self) -> dict[str, object]:
        """The tile, its place in a firing and its zone must be of one tile."""
        shown = {name: self.cleaned_data.get(name) for name in ("tile", "placement", "zone", "anyway")}
        placement, zone = shown["placement"], shown["zone"]
        shown["sent_from"] = (placement and placement.firing) or self.sent_from()
        tile = shown["tile"] = shown["tile"] or (placement and placement.tile) or (zone and zone.tile)
        if tile and (tile.is_binned or any(part and part.tile_id != tile.pk for part in (placement, zone))):
            raise ValidationError("The tile, the firing and the zone do not belong together.")
        return shown

    def sent_from(self) -> Firing | None:
        """The firing on whose page the photo was sent."""
        return firing_of_number(self.cleaned_data.get("firing", ""))

    def problem(self) -> str:
        """What is wrong, in one line."""
        return " ".join(str(error) for errors in self.errors.values() for error in errors)
