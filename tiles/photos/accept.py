"""Whether a file that arrived is a photograph we keep: bounded before decoded, decoded before believed.

Looking comes in two parts. `glance` costs a millisecond or two and is all that the person who sent a photo waits for;
`damage` decodes it, minutes later if need be, and until then nothing of it is shown.

What a file is called says nothing here. The bounds are those of a process with 320 MB to spend: they differ
by format because the decoders do. A JPEG can be decoded at an eighth of its size, a progressive JPEG keeps
all its coefficients in memory, a PNG is decoded whole, and WebP's decoder holds several whole pictures.
"""

import hashlib
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta, timezone
from typing import BinaryIO

from PIL import ExifTags, Image, ImageFile, JpegImagePlugin

from tiles.photos import structure

try:
    import pillow_heif
except ImportError:  # the optional extra is not installed
    pillow_heif = None
else:
    pillow_heif.register_heif_opener()

FORMATS = ["JPEG", "PNG", "WEBP", *(["HEIF"] if pillow_heif else [])]
EXTENSIONS = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp", "HEIF": "heic"}
MEDIA_TYPES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp", "HEIF": "image/heic"}

CHUNK_BYTES = 1024 * 1024

SEND_INSTEAD = "Send the photo as JPEG, PNG or WebP."

# Turned a quarter: the stored width is the upright height (Exif 2.32, tag 0x0112, values 5 to 8).
QUARTER_TURNS = (5, 6, 7, 8)


@dataclass(frozen=True, slots=True)
class Bounds:
    """What is refused before anything is decoded.

    The megapixels of each way of storing them, and a WebP's bytes, which its decoder holds too, keep a worker under
    320 MB while it prepares and looks at a photo (measured with pictures of that size in their costliest form).
    """

    most_bytes: int = 40 * 1024 * 1024
    most_webp_bytes: int = 6 * 1024 * 1024
    most_megapixels: dict[str, float] = field(
        default_factory=lambda: {"JPEG": 80, "progressive JPEG": 30, "PNG": 24, "WEBP": 12.2, "HEIF": 24.5}
    )
    longest_side_px: int = 30_000
    # A progressive picture has about ten scans; each costs a pass over the whole picture.
    most_scans: int = 200


BOUNDS = Bounds()


@dataclass(frozen=True, slots=True)
class Accepted:
    """A photograph that decoded. `width` and `height` are of the upright picture, in pixels.

    `taken_at` is the camera's clock: with an offset when the camera wrote one, otherwise without.
    """

    sha256: str
    format: str
    width: int
    height: int
    byte_count: int
    taken_at: datetime | None

    @property
    def extension(self) -> str:
        """What the stored file's name ends in."""
        return EXTENSIONS[self.format]


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a file is not kept, in a sentence that says what to do instead."""

    reason: str


class _Refused(Exception):
    """Carries a reason up to `accept`."""


def accept(file: BinaryIO, bounds: Bounds = BOUNDS) -> Accepted | Refusal:
    """Look at all of one file: `glance`, then run the decoder over every byte of the picture."""
    found = glance(file, bounds)
    return damage(file) or found if isinstance(found, Accepted) else found


def glance(file: BinaryIO, bounds: Bounds = BOUNDS, sha256: str = "") -> Accepted | Refusal:
    """Look at one file that arrived, without decoding it; `file` must be seekable and is read from its start.

    What it is, whether it is within the bounds, and by its structure whether all of it is there. Never raises for what
    the file holds: damaged files make the decoders raise nearly anything. `sha256` spares hashing it once more.
    """
    try:
        byte_count = _bounded_byte_count(file, bounds)
        picture = _opened(file)
        _check_bounds(picture, bounds)
        turned = orientation_of(picture) in QUARTER_TURNS
        taken_at = taken_at_of(picture)
        stored_as, (width, height) = format_of(picture), picture.size
        _check_structure(file, stored_as, bounds)
    except _Refused as refused:
        return Refusal(str(refused))
    if turned:
        width, height = height, width
    return Accepted(sha256 or fingerprint(file), stored_as, width, height, byte_count, taken_at)


def damage(file: BinaryIO) -> Refusal | None:
    """What is wrong with a file that passed a glance, found by decoding all of it; None when it is sound.

    Bytes the disk cannot read and memory that runs out are no damage of the file's: these are raised.
    """
    try:
        _decode(_opened(file), file)
    except _Refused as refused:
        return Refusal(str(refused))
    return None


def fingerprint(file: BinaryIO) -> str:
    """SHA-256 of all the bytes, in hexadecimal: the photo's name from here on."""
    file.seek(0)
    digest = hashlib.sha256()
    while chunk := file.read(CHUNK_BYTES):
        digest.update(chunk)
    return digest.hexdigest()


def open_photo(file: BinaryIO) -> ImageFile.ImageFile:
    """Open a photo that was accepted, by content, with no decoder but those of the allowed formats."""
    file.seek(0)
    return Image.open(file, formats=FORMATS)


def format_of(picture: Image.Image) -> str:
    """The format as we store it: a phone's JPEG with further pictures behind the first is a JPEG."""
    return "JPEG" if picture.format == "MPO" else picture.format or ""


def orientation_of(picture: Image.Image) -> int:
    """The camera's orientation, 1 to 8; 1 when missing or out of range (Exif 2.32, tag 0x0112)."""
    found = _exif_value(picture, ExifTags.Base.Orientation)
    return found if isinstance(found, int) and 1 <= found <= 8 else 1


def taken_at_of(picture: Image.Image) -> datetime | None:
    """When the shutter opened by the camera's clock, if the file says so credibly (Exif 2.32, tag 0x9003)."""
    written = _exif_value(picture, ExifTags.Base.DateTimeOriginal, ExifTags.IFD.Exif)
    offset = _exif_value(picture, ExifTags.Base.OffsetTimeOriginal, ExifTags.IFD.Exif)
    with suppress(ValueError, TypeError):
        taken_at = datetime.strptime(str(written).strip("\0 "), "%Y:%m:%d %H:%M:%S")
        return taken_at.replace(tzinfo=_offset_zone(offset)) if taken_at.year >= 1990 else None
    return None


def _offset_zone(offset: object) -> timezone | None:
    """The zone for ``+02:00``; None when the camera did not say."""
    with suppress(ValueError, TypeError):
        return timezone(datetime.strptime(str(offset).strip("\0 "), "%z").utcoffset() or timedelta(0))
    return None


def _exif_value(picture: Image.Image, tag: int, directory: int | None = None) -> object:
    """One value of the camera's notes; None when it is missing or the notes are damaged."""
    try:
        notes = picture.getexif()
        return (notes.get_ifd(directory) if directory else notes).get(tag)
    except Exception:  # damaged notes raise nearly anything, and never make a photo unusable
        return None


def _bounded_byte_count(file: BinaryIO, bounds: Bounds) -> int:
    byte_count = file.seek(0, 2)
    if byte_count == 0:
        raise _Refused("This file is empty: the photo did not arrive. Take or choose it again.")
    file.seek(0)
    is_webp = kind_of(file.read(64)) == "WEBP"
    most_bytes = min(bounds.most_bytes, bounds.most_webp_bytes) if is_webp else bounds.most_bytes
    if byte_count > most_bytes:
        raise _Refused(
            f"This file is {byte_count / 2**20:.0f} MB, and a {'WebP' if is_webp else 'photo'} may have "
            f"{most_bytes // 2**20} MB. Save it as a smaller JPEG and send that."
        )
    return byte_count


def _opened(file: BinaryIO) -> ImageFile.ImageFile:
    file.seek(0)
    kind = kind_of(file.read(64))
    if kind in KIND_REFUSALS:
        raise _Refused(KIND_REFUSALS[kind])
    try:
        return open_photo(file)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _Refused(_too_many_pixels("This picture", "JPEG", BOUNDS)) from None
    except Exception:  # a damaged header raises nearly anything
        raise _Refused(_damaged()) from None


def _check_bounds(picture: ImageFile.ImageFile, bounds: Bounds) -> None:
    stored_as = format_of(picture)
    if picture.format not in ("MPO", "HEIF") and getattr(picture, "n_frames", 1) > 1:
        raise _Refused("This picture moves. Send a single still photo as JPEG, PNG or WebP.")
    progressive = stored_as == "JPEG" and bool(picture.info.get("progressive"))
    way = "progressive JPEG" if progressive else stored_as
    width, height = picture.size
    if width * height > bounds.most_megapixels[way] * 1_000_000:
        raise _Refused(_too_many_pixels(f"This picture of {width} × {height} pixels", way, bounds))
    if max(width, height) > bounds.longest_side_px:
        raise _Refused(
            f"This picture is {max(width, height)} pixels long, and a side may have {bounds.longest_side_px}. "
            "Crop it and send it again."
        )


def _check_structure(file: BinaryIO, stored_as: str, bounds: Bounds) -> None:
    try:
        scans = structure.check(file, stored_as)
    except structure.Broken:
        raise _Refused(_damaged()) from None
    if scans > bounds.most_scans:
        raise _Refused(
            "This JPEG is built in a way no camera does. Open it, save it as a plain JPEG and send that."
        )


def _too_many_pixels(subject: str, way: str, bounds: Bounds) -> str:
    most = bounds.most_megapixels[way]
    named = {"WEBP": "WebP", "HEIF": "HEIC"}.get(way, way)
    return f"{subject} is too large: a {named} may have {most} megapixels. Save it smaller, as JPEG, and send that."


def _decode(picture: ImageFile.ImageFile, file: BinaryIO) -> None:
    """Run the decoder over every byte of the picture.

    A JPEG goes at an eighth of its size: all of it is still read and unpacked, in less than half the time and a
    sixty-fourth of the memory. A PNG's checksums are compared as well, which decoding leaves out.
    """
    try:
        if isinstance(picture, JpegImagePlugin.JpegImageFile):
            picture.draft(None, (picture.width // 8 or 1, picture.height // 8 or 1))
        picture.load()
        if picture.format == "PNG":
            open_photo(file).verify()
    except Exception as trouble:  # damaged pictures raise nearly anything
        if isinstance(trouble, MemoryError) or getattr(trouble, "errno", None) is not None:
            raise
        raise _Refused(_damaged()) from None


def _damaged() -> str:
    return "This picture is damaged or only half of it arrived. Send it again, or take it again."


def kind_of(head: bytes) -> str:
    """What the first 64 bytes of a file say it is: one of our formats, a known other kind, or ``unknown``.

    Signatures: ISO/IEC 10918-1 (JPEG), ISO/IEC 15948 (PNG), RFC 9649 (WebP), ISO/IEC 14496-12 (ftyp brands).

    >>> kind_of(b"GIF89a...")
    'GIF'
    >>> kind_of(b"glazed on Tuesday")
    'unknown'
    """
    for kind, signature in SIGNATURES:
        if head.startswith(signature):
            return kind
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "WEBP"
    if head[4:8] == b"ftyp":
        return FTYP_BRANDS.get(head[8:12], "film")
    text = head.lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    return "SVG" if text.startswith((b"<svg", b"<?xml", b"<!doctype svg")) else "unknown"


SIGNATURES = [
    ("JPEG", b"\xff\xd8\xff"),
    ("PNG", b"\x89PNG\r\n\x1a\n"),
    ("GIF", b"GIF8"),
    ("EPS", b"%!"),
    ("EPS", b"\xc5\xd0\xd3\xc6"),
    ("PDF", b"%PDF"),
    ("TIFF", b"II*\0"),
    ("TIFF", b"MM\0*"),
    ("TIFF", b"II+\0"),
    ("TIFF", b"MM\0+"),
    ("BMP", b"BM"),
    ("archive", b"PK\x03\x04"),
    ("film", b"\x1aE\xdf\xa3"),
]
FTYP_BRANDS = {
    **dict.fromkeys([b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"], "HEIF"),
    **dict.fromkeys([b"avif", b"avis"], "AVIF"),
}
KIND_REFUSALS = {
    "GIF": f"This is a GIF, a format for drawings and short films. {SEND_INSTEAD}",
    "EPS": f"This is an EPS or PostScript page, not a photo. {SEND_INSTEAD}",
    "SVG": f"This is a drawing or a web document (SVG or XML), not a photo. {SEND_INSTEAD}",
    "PDF": f"This is a PDF, not a photo. {SEND_INSTEAD}",
    "TIFF": f"This is a TIFF or a camera’s raw file. Export it from the camera program first. {SEND_INSTEAD}",
    "BMP": f"This is a bitmap (BMP). {SEND_INSTEAD}",
    "AVIF": f"This is an AVIF picture, which is not read here. {SEND_INSTEAD}",
    "archive": "This is an archive or a document, not a photo. Unpack it and send the photos in it.",
    "film": f"This is a film, not a photo. Take a still. {SEND_INSTEAD}",
    "unknown": f"This is not a picture that can be read, whatever its name says. {SEND_INSTEAD}",
}
if not pillow_heif:
    KIND_REFUSALS["HEIF"] = (
        "This is a HEIC picture, which is not read here. Send it as JPEG (phones can be set to take JPEG), "
        "or ask the keeper to turn HEIC on: the README says how."
    )
