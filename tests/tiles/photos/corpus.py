"""Picture files made on the spot: every way a photo can be stored, and every way a file can be wrong."""

import io
import struct
import zlib
from collections.abc import Callable

import numpy as np
from PIL import ExifTags, Image, ImageCms

# The corners of the upright picture, far enough apart to survive any encoding.
RED, GREEN, BLUE, YELLOW = (200, 30, 30), (30, 160, 40), (30, 40, 190), (220, 210, 40)
CORNERS = {"top left": RED, "top right": GREEN, "bottom left": BLUE, "bottom right": YELLOW}
UPRIGHT_SIZE = (120, 80)

# What a camera held so would write: the upright picture put back as the sensor saw it (Exif 2.32, tag 0x0112).
AS_THE_SENSOR_SAW = {
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}


def upright_picture(width: int = UPRIGHT_SIZE[0], height: int = UPRIGHT_SIZE[1]) -> Image.Image:
    """A picture with a different colour in each quarter."""
    picture = Image.new("RGB", (width, height))
    half_width, half_height = width // 2, height // 2
    picture.paste(RED, (0, 0, half_width, half_height))
    picture.paste(GREEN, (half_width, 0, width, half_height))
    picture.paste(BLUE, (0, half_height, half_width, height))
    picture.paste(YELLOW, (half_width, half_height, width, height))
    return picture


def corner_colours(picture: Image.Image) -> dict[str, tuple[int, int, int]]:
    """The colours found in the middle of each quarter."""
    width, height = picture.size
    left, right, top, bottom = width // 4, width * 3 // 4, height // 4, height * 3 // 4
    places = {"top left": (left, top), "top right": (right, top)}
    places |= {"bottom left": (left, bottom), "bottom right": (right, bottom)}
    return {name: picture.convert("RGB").getpixel(place) for name, place in places.items()}


def saved(picture: Image.Image, file_format: str, **options: object) -> bytes:
    """The bytes of a picture file."""
    kept = io.BytesIO()
    picture.save(kept, file_format, **options)
    return kept.getvalue()


def jpeg(**options: object) -> bytes:
    """An ordinary photo."""
    return saved(upright_picture(), "JPEG", quality=90, **options)


def noisy_jpeg(width: int, height: int, seed: int = 1, **options: object) -> bytes:
    """A photo with a camera's detail and noise, so that its size in bytes is a camera's too."""
    rng = np.random.default_rng(seed)
    coarse = Image.fromarray(rng.integers(40, 220, (height // 20 or 1, width // 20 or 1, 3), dtype=np.uint8))
    smooth = np.asarray(coarse.resize((width, height), Image.Resampling.BICUBIC), dtype=np.int16)
    noisy = smooth + rng.integers(-10, 11, (height, width, 1), dtype=np.int16)
    picture = Image.fromarray(noisy.clip(0, 255).astype(np.uint8))
    return saved(picture, "JPEG", **{"quality": 85, **options})


def oriented_jpeg(orientation: int) -> bytes:
    """The upright picture as a camera turned that way stores it."""
    turn = AS_THE_SENSOR_SAW[orientation]
    picture = upright_picture() if turn is None else upright_picture().transpose(turn)
    notes = Image.Exif()
    notes[ExifTags.Base.Orientation] = orientation
    return saved(picture, "JPEG", quality=95, exif=notes)


SECRET_PLACE, SCRIPT = "Kiln Lane 7", b"<script>alert('from the comment')</script>"


def telling_jpeg() -> bytes:
    """A photo that says where and when it was taken, by which camera, and carries a script in its comment."""
    notes = Image.Exif()
    notes[ExifTags.Base.Make] = "Invented Cameras"
    notes[ExifTags.Base.ImageDescription] = SECRET_PLACE
    exif = notes.get_ifd(ExifTags.IFD.Exif)
    exif[ExifTags.Base.DateTimeOriginal] = "2026:10:14 16:05:09"
    exif[ExifTags.Base.OffsetTimeOriginal] = "+02:00"
    place = notes.get_ifd(ExifTags.IFD.GPSInfo)
    place[ExifTags.GPS.GPSLatitudeRef], place[ExifTags.GPS.GPSLatitude] = "N", (51.0, 30.0, 26.0)
    place[ExifTags.GPS.GPSLongitudeRef], place[ExifTags.GPS.GPSLongitude] = "W", (0.0, 7.0, 39.0)
    return jpeg(exif=notes, comment=SCRIPT, xmp=b"<x:xmpmeta>" + SECRET_PLACE.encode() + b"</x:xmpmeta>")


def telling_png() -> bytes:
    """The same told by a PNG."""
    notes = Image.Exif()
    notes[ExifTags.Base.ImageDescription] = SECRET_PLACE
    return saved(upright_picture(), "PNG", exif=notes)


def display_p3_profile() -> bytes:
    """A matrix profile with the primaries of Display P3 and its tone curve, made by hand.

    Primaries adapted to D50 (Bradford) as in the ICC's own registry of three-component encodings, "Display P3";
    the tone curve is taken as a plain 2.2 power here, which is all the test needs.
    """
    columns = {
        b"rXYZ": (0.5151, 0.2412, -0.0011),
        b"gXYZ": (0.2920, 0.6922, 0.0419),
        b"bXYZ": (0.1571, 0.0666, 0.7841),
    }
    tags = {
        tag: b"XYZ \0\0\0\0" + struct.pack(">3i", *(round(v * 65536) for v in xyz))
        for tag, xyz in columns.items()
    }
    tags[b"wtpt"] = b"XYZ \0\0\0\0" + struct.pack(">3i", *(round(v * 65536) for v in (0.9642, 1.0, 0.8249)))
    curve = b"curv\0\0\0\0" + struct.pack(">IH", 1, round(2.2 * 256)) + b"\0\0"
    tags |= {b"rTRC": curve, b"gTRC": curve, b"bTRC": curve}
    tags[b"desc"] = b"desc\0\0\0\0" + struct.pack(">I", 8) + b"Test P3\0" + bytes(78)
    tags[b"cprt"] = b"text\0\0\0\0none\0\0\0\0"
    return _icc(tags)


def _icc(tags: dict[bytes, bytes]) -> bytes:
    """An ICC version 2 display profile around the tags (ICC.1:2001-04, clauses 6.1 and 6.2)."""
    table, body, offset = struct.pack(">I", len(tags)), b"", 128 + 4 + 12 * len(tags)
    for tag, content in tags.items():
        padded = content + bytes(-len(content) % 4)
        table += tag + struct.pack(">II", offset + len(body), len(content))
        body += padded
    header = struct.pack(">I4sI4s4s4s", offset + len(body), b"none", 0x02400000, b"mntr", b"RGB ", b"XYZ ")
    header += struct.pack(">6H4s", 2026, 1, 1, 0, 0, 0, b"acsp") + bytes(28)
    header += struct.pack(">3i", *(round(v * 65536) for v in (0.9642, 1.0, 0.8249)))
    return header.ljust(128, b"\0") + table + body


def srgb_profile() -> bytes:
    """The profile of sRGB as colour management makes it."""
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def several_in_one(count: int = 2) -> bytes:
    """A phone's JPEG with further pictures behind the first (CIPA DC-007)."""
    others = [Image.new("RGB", UPRIGHT_SIZE, (9, 9, 9)) for _ in range(count - 1)]
    return saved(upright_picture(), "MPO", save_all=True, append_images=others, quality=90)


def moving(file_format: str) -> bytes:
    """A short film: GIF, animated WebP or animated PNG."""
    frames = [Image.new("RGB", UPRIGHT_SIZE, (90 * step, 60, 60)) for step in range(1, 3)]
    return saved(upright_picture(), file_format, save_all=True, append_images=frames, duration=100)


def png_claiming(width: int, height: int, body: bytes = b"") -> bytes:
    """A PNG whose header claims a size; with no body it is a few bytes long whatever it claims."""
    header = struct.pack(">2I5B", width, height, 8, 2, 0, 0, 0)
    chunks = [(b"IHDR", header), (b"IDAT", body or zlib.compress(bytes(16))), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))
        for name, content in chunks
    )


def pixel_bomb() -> bytes:
    """A real PNG of 169 megapixels in half a megabyte: every row there, all of it black."""
    packer = zlib.compressobj(9)
    row = bytes(1 + 13_000 * 3)
    body = b"".join(packer.compress(row) for _ in range(13_000)) + packer.flush()
    return png_claiming(13_000, 13_000, body)


def jpeg_claiming(width: int, height: int) -> bytes:
    """A JPEG whose frame header was overwritten with another size."""
    plain = jpeg()
    at = plain.index(b"\xff\xc0") + 5
    return plain[:at] + struct.pack(">2H", height, width) + plain[at + 4 :]


def many_scans(count: int = 400) -> bytes:
    """A progressive JPEG whose last scan is repeated: each costs a pass over the whole picture."""
    plain = jpeg(progressive=True)
    at = plain.rindex(b"\xff\xda")
    return plain[:at] + plain[at:-2] * count + b"\xff\xd9"


EPS = b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n0 0 10 10 rectfill\nshowpage\n"
SVG = b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
HEIC = struct.pack(">I", 24) + b"ftypheic\0\0\0\0mif1heic" + bytes(64)
FILM = struct.pack(">I", 24) + b"ftypisom\0\0\0\0isommp42" + bytes(64)

# Files that are never kept, each with a word its refusal must hold.
REFUSED: dict[str, tuple[Callable[[], bytes], str]] = {
    "nothing at all": (lambda: b"", "empty"),
    "text called jpg": (lambda: b"glazed on Tuesday, two coats", "not a picture"),
    "zero bytes": (lambda: bytes(5000), "not a picture"),
    "web page": (lambda: b"<!doctype html><p>Not found", "not a picture"),
    "EPS": (lambda: EPS, "EPS"),
    "EPS with a preview": (lambda: b"\xc5\xd0\xd3\xc6" + bytes(26) + EPS, "EPS"),
    "SVG": (lambda: SVG, "SVG"),
    "SVG after spaces": (lambda: b"\xef\xbb\xbf \n<SVG></SVG>", "SVG"),
    "PDF": (lambda: b"%PDF-1.7\n%", "PDF"),
    "TIFF": (lambda: saved(upright_picture(), "TIFF"), "TIFF"),
    "BMP": (lambda: saved(upright_picture(), "BMP"), "BMP"),
    "still GIF": (lambda: saved(upright_picture(), "GIF"), "GIF"),
    "moving GIF": (lambda: moving("GIF"), "GIF"),
    "moving WebP": (lambda: moving("WEBP"), "moves"),
    "moving PNG": (lambda: moving("PNG"), "moves"),
    "AVIF": (lambda: saved(upright_picture(), "AVIF"), "AVIF"),
    "archive": (lambda: b"PK\x03\x04" + bytes(60), "archive"),
    "film": (lambda: FILM, "film"),
    "JPEG cut in half": (lambda: (plain := noisy_jpeg(400, 300))[: len(plain) // 2], "damaged"),
    "JPEG cut in its header": (lambda: jpeg()[:200], "damaged"),
    "JPEG of three bytes": (lambda: jpeg()[:3], "damaged"),
    "progressive JPEG cut": (lambda: noisy_jpeg(400, 300, progressive=True)[:9000], "damaged"),
    "PNG cut in half": (lambda: (plain := saved(upright_picture(), "PNG"))[: len(plain) // 2], "damaged"),
    "PNG without its end": (lambda: png_claiming(50, 50), "damaged"),
    "WebP cut": (lambda: saved(upright_picture(), "WEBP")[:-60], "damaged"),
    "PNG of no width": (lambda: png_claiming(0, 50), "damaged"),
    "JPEG of no height": (lambda: jpeg_claiming(120, 0), "damaged"),
    "PNG of 169 megapixels": (pixel_bomb, "too large"),
    "PNG claiming four thousand million pixels": (lambda: png_claiming(65_000, 65_000), "too large"),
    "JPEG claiming 65500 by 65500": (lambda: jpeg_claiming(65_500, 65_500), "too large"),
    "JPEG claiming 60000 by 1000": (lambda: jpeg_claiming(60_000, 1000), "pixels long"),
    "progressive JPEG of 400 scans": (many_scans, "no camera"),
}

# Those whose damage shows only when they are decoded, which is after the answer.
DAMAGE_WITHIN = ("PNG without its end",)


def p3_jpeg() -> bytes:
    """A phone's wide-gamut photo: the numbers mean other colours than they do in sRGB."""
    return jpeg(icc_profile=display_p3_profile())


def grey_with_alpha() -> bytes:
    """A cut-out picture in grey: its right half see-through."""
    picture = upright_picture().convert("LA")
    picture.paste((0, 0), (60, 0, 120, 80))
    return saved(picture, "PNG")


def palette_with_transparency() -> bytes:
    """A picture of few colours in which one is see-through."""
    picture = upright_picture().quantize(8)
    return saved(picture, "PNG", transparency=picture.getpixel((5, 5)))


def sixteen_bit_grey() -> bytes:
    """A PNG of 16-bit grey, a quarter as bright on its left as on its right."""
    levels = np.full((80, 120), 0xC000, dtype=np.uint16)
    levels[:, :60] = 0x3000
    return saved(Image.fromarray(levels), "PNG")


# Files that are kept: what they are, and the format under which they are stored.
ACCEPTED: dict[str, tuple[Callable[[], bytes], str]] = {
    "JPEG": (jpeg, "JPEG"),
    "progressive JPEG": (lambda: jpeg(progressive=True), "JPEG"),
    "grey JPEG": (lambda: saved(upright_picture().convert("L"), "JPEG"), "JPEG"),
    "CMYK JPEG": (lambda: saved(upright_picture().convert("CMYK"), "JPEG"), "JPEG"),
    "wide-gamut JPEG": (p3_jpeg, "JPEG"),
    "JPEG with a damaged profile": (lambda: jpeg(icc_profile=b"not a profile" * 20), "JPEG"),
    "JPEG with damaged notes": (lambda: jpeg(exif=b"Exif\0\0II*\0\xff\xff\xff\xff"), "JPEG"),
    "JPEG with a film behind it": (lambda: jpeg() + FILM, "JPEG"),
    "several pictures in one": (several_in_one, "JPEG"),
    "PNG": (lambda: saved(upright_picture(), "PNG"), "PNG"),
    "PNG of 16-bit grey": (sixteen_bit_grey, "PNG"),
    "PNG of one bit": (lambda: saved(upright_picture().convert("1"), "PNG"), "PNG"),
    "PNG with a palette, partly see-through": (palette_with_transparency, "PNG"),
    "PNG in grey, partly see-through": (grey_with_alpha, "PNG"),
    "PNG in colour, see-through": (lambda: saved(upright_picture().convert("RGBA"), "PNG"), "PNG"),
    "WebP": (lambda: saved(upright_picture(), "WEBP"), "WEBP"),
    "WebP, see-through": (lambda: saved(upright_picture().convert("RGBA"), "WEBP", lossless=True), "WEBP"),
    "one pixel": (lambda: saved(Image.new("RGB", (1, 1)), "PNG"), "PNG"),
    "a long strip": (lambda: saved(Image.new("RGB", (9000, 3)), "JPEG"), "JPEG"),
}
