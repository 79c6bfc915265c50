"""What of a photo is shown for one tile."""

from dataclasses import dataclass

from tiles.models import Photo, PhotoFiling
from tiles.photos.codes import Region
from tiles.tray.parts.cutting import Share


@dataclass(frozen=True, slots=True)
class PhotoPart:
    """A tile's share of a photo it is in with others: shown in place of the photo, sized in pixels of the original."""

    whole: Photo
    share: Share

    @property
    def pk(self) -> int:
        """The key of the photo it is a part of."""
        return self.whole.pk

    @property
    def sha256(self) -> str:
        return self.whole.sha256

    @property
    def width(self) -> int:
        return self.share.size_px(self.whole.width, self.whole.height)[0]

    @property
    def height(self) -> int:
        return self.share.size_px(self.whole.width, self.whole.height)[1]

    def __str__(self) -> str:
        return str(self.whole)


def shown_of(filing: PhotoFiling) -> Photo | PhotoPart:
    """The photo, or where it shows several tiles this one's part of it."""
    if not filing.region:
        return filing.photo
    share = Share.of_region(Region(*filing.region))
    return PhotoPart(filing.photo, share) if share.is_within else filing.photo
