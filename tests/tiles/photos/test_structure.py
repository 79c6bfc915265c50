"""By its structure alone a file that did not arrive whole is told from one that did."""

import io
import struct
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tiles.photos import corpus
from tiles.photos import structure
from tiles.photos.accept import Accepted, glance
from tiles.photos.structure import Broken

WHOLE = {name: (make(), stored_as) for name, (make, stored_as) in corpus.ACCEPTED.items()}


@pytest.mark.parametrize("name", WHOLE)
def test_every_way_of_storing_a_photo_is_walked_to_its_end(name):
    content, stored_as = WHOLE[name]

    assert structure.check(io.BytesIO(content), stored_as) >= 1


def test_a_file_on_a_disk_is_walked_without_reading_it_into_memory(tmp_path):
    place = tmp_path / "photo.jpg"
    place.write_bytes(corpus.jpeg())

    with place.open("rb") as file:
        assert structure.check(file, "JPEG") == 1


def test_the_scans_of_a_progressive_photo_are_counted():
    # libjpeg's standard script for colour pictures has ten scans (jcparam.c, jpeg_simple_progression).
    assert structure.check(io.BytesIO(corpus.jpeg(progressive=True)), "JPEG") == 10


# What lies behind the end of the picture may be cut; it is no part of it.
CUTTABLE = [name for name in WHOLE if name not in ("JPEG with a film behind it", "several pictures in one")]


@settings(max_examples=200)
@given(st.sampled_from(CUTTABLE), st.floats(0, 1))
def test_a_photo_cut_anywhere_is_broken(name, share):
    content, stored_as = WHOLE[name]

    with pytest.raises(Broken):
        structure.check(io.BytesIO(content[: int(share * (len(content) - 1))]), stored_as)


@settings(max_examples=200)
@given(st.integers(8, 10_000), st.integers(1, 255))
def test_any_changed_byte_of_a_png_is_noticed(at, change):
    content = bytearray(WHOLE["PNG"][0])
    content[at % (len(content) - 8) + 8] ^= change

    with pytest.raises(Broken):
        structure.check(io.BytesIO(content), "PNG")


def test_bytes_put_into_the_head_of_a_jpeg_are_noticed():
    plain = corpus.jpeg()

    with pytest.raises(Broken):
        structure.check(io.BytesIO(plain[:20] + b"12345" + plain[20:]), "JPEG")


def boxes(*named: tuple[bytes, int]) -> bytes:
    """Boxes of ISO/IEC 14496-12, clause 4.2, each of a kind and so many bytes of content."""
    return b"".join(struct.pack(">I", 8 + length) + kind + bytes(length) for kind, length in named)


def test_a_heic_file_is_walked_box_by_box():
    whole = boxes((b"ftyp", 16), (b"meta", 100), (b"mdat", 1000))

    assert structure.check(io.BytesIO(whole), "HEIF") == 1
    for broken in (whole[:-1], whole + b"1", boxes((b"ftyp", 16)), bytes(64)):
        with pytest.raises(Broken):
            structure.check(io.BytesIO(broken), "HEIF")


@settings(max_examples=300)
@given(st.binary(max_size=300), st.sampled_from(["JPEG", "PNG", "WEBP", "HEIF"]))
def test_no_bytes_make_the_walk_fail_otherwise(content, stored_as):
    with suppress(Broken):
        structure.check(io.BytesIO(content), stored_as)


@settings(max_examples=150, deadline=None)
@given(st.data())
@pytest.mark.filterwarnings("ignore")
def test_no_damage_makes_a_glance_raise(data):
    content = bytearray(WHOLE[data.draw(st.sampled_from(sorted(WHOLE)))][0])
    for _ in range(data.draw(st.integers(1, 8))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))

    found = glance(io.BytesIO(bytes(content)))

    assert isinstance(found, Accepted) or found.reason.endswith(".")
