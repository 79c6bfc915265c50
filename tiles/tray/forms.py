"""What sorting sends: photos by name, photos with the tiles accepted for them, keys of filings."""

from dataclasses import dataclass

from django import forms

from firings.keys import is_key
from tiles.models import Photo, PhotoFiling, Tile
from tiles.tray.queries import photo_names
from tiles.tray.services import tile_of

MOST_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Taken:
    """What was accepted and still can be: photos that wait, each with its tile; and how many do not any more."""

    pairs: list[tuple[Photo, Tile]]
    late: int


class NamesField(forms.MultipleChoiceField):
    """Photos by the names they were sent with; those that are not there are left out."""

    def valid_value(self, value: str) -> bool:
        """Whatever is sent; what it names is looked up."""
        return len(value) <= 100


class TogetherForm(forms.Form):
    """Several waiting photos and the number of the one tile they all show."""

    photo = NamesField(error_messages={"required": "Choose the photos first, each by its tick."})
    number = forms.CharField(
        max_length=16, error_messages={"required": "Type the number of the tile they show."}
    )

    def clean_photo(self) -> list[Photo]:
        """The photos of these names that still wait."""
        names = photo_names(self.cleaned_data["photo"][:MOST_AT_ONCE])
        found = list(Photo.objects.unfiled().filter(sha256__in=names))
        if not found:
            raise forms.ValidationError("None of these photos is in the tray any more.")
        return found

    def clean_number(self) -> Tile:
        """The tile of the number."""
        try:
            return tile_of(self.cleaned_data["number"])
        except ValueError as wrong:
            raise forms.ValidationError(str(wrong)) from wrong

    def problem(self) -> str:
        """What is wrong, in one line."""
        return " ".join(str(error) for errors in self.errors.values() for error in errors)


class AcceptForm(forms.Form):
    """Suggestions accepted: each the name of a photo and the number of the tile that stood under it."""

    take = NamesField(error_messages={"required": "Tick the photos to file first."})

    def clean_take(self) -> Taken:
        """The pairs whose photo still waits and whose tile is here."""
        sent = [take.partition(":")[::2] for take in self.cleaned_data["take"][:MOST_AT_ONCE]]
        names = photo_names([name for name, _ in sent])
        photos = {photo.sha256: photo for photo in Photo.objects.unfiled().filter(sha256__in=names)}
        pairs = [(photos[name], tile) for name, label in sent if name in photos and (tile := _tile(label))]
        return Taken(pairs, len(sent) - len(pairs))


def _tile(label: str) -> Tile | None:
    try:
        return tile_of(label)
    except ValueError:
        return None


def filings_of_keys(sent: str) -> list[PhotoFiling]:
    """The filings of keys in an address, ``12,13``; those that are gone are left out."""
    keys = _keys(sent)
    return list(PhotoFiling.objects.select_related("photo", "tile").filter(pk__in=keys).order_by("pk"))


def taken_off_of_keys(sent: str) -> list[int]:
    """The keys, of those in an address, under which history keeps that a photo was taken off a tile."""
    kept = PhotoFiling.history.filter(history_id__in=_keys(sent), history_type="-")
    return list(kept.order_by("history_id").values_list("history_id", flat=True))


def _keys(sent: str) -> list[int]:
    return [int(key) for key in sent.split(",")[:MOST_AT_ONCE] if is_key(key)]
