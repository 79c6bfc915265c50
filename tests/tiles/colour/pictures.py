"""Photos of a tile with bands of known colours, as the factories' form has them."""

import io

import numpy as np
from PIL import Image, ImageCms

from tests.factories import THREE_BANDS
from tests.tiles.colour.scenes import Shot, as_the_camera_sees, corners, flat_chart, laid_on
from tiles.colour import srgb

BLUE, BROWN, CREAM = (52, 84, 132), (120, 78, 52), (214, 200, 176)
BANDS = {"band 1": BLUE, "band 2": BROWN, "band 3": CREAM}
# The form is 70 × 110 mm; at this size the tile fills eight tenths of the photo.
SIZE = (700, 1100)
LEFT, TOP, PX_PER_MM = 70, 110, 8


def tile_picture(shot: Shot | None = None) -> Image.Image:
    """The front straight on; with a shot, as its camera sees it."""
    light = np.full((SIZE[1], SIZE[0], 3), 0.2)
    for name, _, face, _, x, y, width, height in THREE_BANDS:
        if name in BANDS and face.value == "front":
            rows = slice(TOP + y * PX_PER_MM, TOP + (y + height) * PX_PER_MM)
            columns = slice(LEFT + x * PX_PER_MM, LEFT + (x + width) * PX_PER_MM)
            light[rows, columns] = srgb.to_linear(np.array(BANDS[name], dtype=np.uint8))
    return Image.fromarray(srgb.to_bytes(as_the_camera_sees(light, shot) if shot else light))


def tile_beside_chart(shot: Shot) -> Image.Image:
    """The tile on the left as the camera sees it, a chart on the right."""
    tile = tile_picture(shot)
    wide = Image.new("RGB", (2 * SIZE[0], SIZE[1]), tile.getpixel((2, 2)))
    wide.paste(tile, (0, 0))
    return laid_on(wide, flat_chart(shot), corners(shot) + np.array([SIZE[0], 0]))


def as_jpeg(picture: Image.Image, profile: bytes | None = None) -> bytes:
    kept = io.BytesIO()
    picture.save(kept, "JPEG", quality=95, subsampling=0, **({"icc_profile": profile} if profile else {}))
    return kept.getvalue()


def wide_profile() -> bytes:
    """An ICC profile of larger primaries than sRGB's, close to those of phones' screens: built here, of no one's make.

    SMPTE RP 431-2 primaries, D65, a plain gamma of 2.2, as a matrix profile of ICC.1:2010.
    """
    return _matrix_profile([(0.680, 0.320), (0.265, 0.690), (0.150, 0.060)], 2.2)


def _matrix_profile(primaries: list[tuple[float, float]], gamma: float) -> bytes:
    """A display profile: header, white, three colourants under D50, three curves."""
    from_xy = np.array([[x / y, 1, (1 - x - y) / y] for x, y in primaries]).T
    white = np.array([0.95046, 1.0, 1.08906])
    bradford = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
    d50 = np.array([0.9642, 1.0, 0.8249])
    gains = np.diag((bradford @ d50) / (bradford @ white))
    colourants = (
        np.linalg.inv(bradford) @ gains @ bradford @ from_xy @ np.diag(np.linalg.solve(from_xy, white))
    )

    def fixed(value: float) -> bytes:
        return round(value * 65536).to_bytes(4, "big", signed=True)

    def xyz(values: np.ndarray) -> bytes:
        return b"XYZ \0\0\0\0" + b"".join(fixed(float(value)) for value in values)

    text = b"desc\0\0\0\0" + (5).to_bytes(4, "big") + b"wide\0" + bytes(78)
    curve = b"curv\0\0\0\0" + (1).to_bytes(4, "big") + int(gamma * 256).to_bytes(2, "big") + b"\0\0"
    parts = {
        b"desc": text, b"cprt": b"text\0\0\0\0none\0\0\0\0", b"wtpt": xyz(d50),
        b"rXYZ": xyz(colourants[:, 0]), b"gXYZ": xyz(colourants[:, 1]), b"bXYZ": xyz(colourants[:, 2]),
        b"rTRC": curve, b"gTRC": curve, b"bTRC": curve,
    }  # fmt: skip
    table, body = b"", b""
    start = 128 + 4 + 12 * len(parts)
    for name, content in parts.items():
        padded = content + bytes(-len(content) % 4)
        table += name + (start + len(body)).to_bytes(4, "big") + len(content).to_bytes(4, "big")
        body += padded
    whole = len(parts).to_bytes(4, "big") + table + body
    header = bytearray(128)
    header[0:4] = (128 + len(whole)).to_bytes(4, "big")
    header[8:12], header[12:16], header[16:20], header[20:24] = b"\x02\x40\0\0", b"mntr", b"RGB ", b"XYZ "
    header[36:40] = b"acsp"
    header[68:80] = b"".join(fixed(float(value)) for value in d50)
    return bytes(header) + whole


def through_profile(picture: Image.Image, profile: bytes) -> Image.Image:
    """The same colours in the numbers of a profile."""
    target = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    return ImageCms.profileToProfile(picture, ImageCms.createProfile("sRGB"), target, outputMode="RGB")
