"""Whether all of a picture file arrived, seen from how it is built: no pixel is decoded.

A file is walked from end to end by the lengths it states. A transfer that broke off, bytes lost or put in, and (in a
PNG) any changed byte show; a changed byte within a JPEG's or WebP's packed pixels mostly does not, and only shows
when it is decoded. It costs a tenth of decoding (measured: 1.5 ms against 55 for a JPEG of 12 megapixels).
"""

import mmap
import re
import zlib
from collections.abc import Callable
from io import UnsupportedOperation
from typing import BinaryIO


class Broken(Exception):
    """The file is not whole."""


# ITU-T T.81, annex B: markers that stand alone, that begin a frame, and what may not follow FF within packed pixels.
JPEG_ALONE = {0x01, *range(0xD0, 0xD8)}
JPEG_FRAMES = set(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
JPEG_SCAN, JPEG_END = 0xDA, 0xD9
NEXT_MARKER = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")


def check(file: BinaryIO, stored_as: str) -> int:
    """Walk a file of one of our formats; how many passes its pixels are stored in.

    Raises
    ------
    Broken : it ends early, or is not built as its format says
    """
    walk = WALKS.get(stored_as)
    return walk(_content(file)) if walk else 1


def _content(file: BinaryIO) -> bytes | mmap.mmap:
    """All bytes of a file, without copying them where they lie on a disk."""
    file.seek(0)
    try:
        return mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
    except (UnsupportedOperation, AttributeError, ValueError, OSError):
        return file.read()


def _walk_jpeg(content: bytes | mmap.mmap) -> int:
    """Segment by segment to the end-of-image marker; the number of scans."""
    at, scans, framed = 2, 0, False
    while True:
        at, marker = _jpeg_marker(content, at)
        if marker == JPEG_END and scans:
            return scans
        if marker in JPEG_ALONE:
            continue
        if marker in (JPEG_END, 0xD8, 0x00):
            raise Broken
        length = int.from_bytes(content[at : at + 2], "big")
        at += max(2, length)
        framed = framed or marker in JPEG_FRAMES
        if length < 2 or at > len(content) or (marker == JPEG_SCAN and not framed):
            raise Broken
        if marker == JPEG_SCAN:
            scans += 1
            at = _after_packed_pixels(content, at)


def _jpeg_marker(content: bytes | mmap.mmap, at: int) -> tuple[int, int]:
    """The marker here, and where its segment begins; fill bytes before it are skipped."""
    if content[at : at + 1] != b"\xff":
        raise Broken
    while content[at : at + 1] == b"\xff":
        at += 1
    if at >= len(content):
        raise Broken
    return at + 1, content[at]


def _after_packed_pixels(content: bytes | mmap.mmap, at: int) -> int:
    found = NEXT_MARKER.search(content, at)
    if found is None:
        raise Broken
    return found.start()


def _walk_png(content: bytes | mmap.mmap) -> int:
    """Chunk by chunk, each against its checksum, to the end chunk (ISO/IEC 15948, clauses 5 and 11)."""
    at, names, view = 8, set(), memoryview(content)
    try:
        while b"IEND" not in names:
            length, name = int.from_bytes(view[at : at + 4], "big"), bytes(view[at + 4 : at + 8])
            after = at + 8 + length
            if len(view) < after + 4 or zlib.crc32(view[at + 4 : after]) != int.from_bytes(
                view[after : after + 4], "big"
            ):
                raise Broken
            names.add(name)
            at = after + 4
    finally:
        view.release()
    if not {b"IHDR", b"IDAT"} <= names:
        raise Broken
    return 1


def _walk_webp(content: bytes | mmap.mmap) -> int:
    """Chunk by chunk to the end that the first one states (RFC 9649, section 2)."""
    end, at, names = 8 + int.from_bytes(content[4:8], "little"), 12, set()
    if end > len(content):
        raise Broken
    while at + 8 <= end:
        names.add(bytes(content[at : at + 4]))
        length = int.from_bytes(content[at + 4 : at + 8], "little")
        at += 8 + length + length % 2
    if at > end + 1 or names.isdisjoint({b"VP8 ", b"VP8L", b"ANMF"}):
        raise Broken
    return 1


def _walk_heif(content: bytes | mmap.mmap) -> int:
    """Box by box to the end of the file (ISO/IEC 14496-12, clause 4.2)."""
    at, names = 0, set()
    while at + 8 <= len(content):
        length = int.from_bytes(content[at : at + 4], "big")
        names.add(bytes(content[at + 4 : at + 8]))
        if length == 1:
            length = int.from_bytes(content[at + 8 : at + 16], "big")
        elif length == 0:
            length = len(content) - at
        if length < 8:
            raise Broken
        at += length
    if at != len(content) or not {b"ftyp", b"meta"} <= names:
        raise Broken
    return 1


WALKS: dict[str, Callable[[bytes | mmap.mmap], int]] = {
    "JPEG": _walk_jpeg,
    "PNG": _walk_png,
    "WEBP": _walk_webp,
    "HEIF": _walk_heif,
}
