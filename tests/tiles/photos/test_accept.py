"""What arrives is bounded before it is decoded, and believed only when it decodes."""

import hashlib
import io
import tracemalloc
from datetime import datetime, timedelta, timezone

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tests.tiles.photos import corpus
from tiles.photos import accept
from tiles.photos.accept import Accepted, Bounds, Refusal


def accepted(content: bytes, bounds: Bounds = accept.BOUNDS) -> Accepted:
    found = accept.accept(io.BytesIO(content), bounds)
    assert isinstance(found, Accepted), found
    return found


def refusal(content: bytes, bounds: Bounds = accept.BOUNDS) -> str:
    found = accept.accept(io.BytesIO(content), bounds)
    assert isinstance(found, Refusal), found
    return found.reason


@pytest.mark.filterwarnings("ignore:Image size:PIL.Image.DecompressionBombWarning")
@pytest.mark.parametrize("name", corpus.REFUSED)
def test_a_file_that_is_no_photo_is_refused_in_a_sentence(name):
    make, word = corpus.REFUSED[name]

    reason = refusal(make())

    assert word in reason
    assert reason.endswith(".")
    assert "Traceback" not in reason


@pytest.mark.parametrize("name", corpus.ACCEPTED)
@pytest.mark.filterwarnings("ignore:Corrupt EXIF")
def test_a_photo_is_accepted_whatever_way_its_pixels_are_stored(name):
    make, stored_as = corpus.ACCEPTED[name]
    content = make()

    found = accepted(content)

    assert found.format == stored_as
    assert found.sha256 == hashlib.sha256(content).hexdigest()
    assert found.byte_count == len(content)
    assert (found.width, found.height) == Image.open(io.BytesIO(content)).size


@pytest.mark.parametrize("orientation", corpus.AS_THE_SENSOR_SAW)
def test_width_and_height_are_those_of_the_upright_picture(orientation):
    found = accepted(corpus.oriented_jpeg(orientation))

    assert (found.width, found.height) == corpus.UPRIGHT_SIZE


def test_the_camera_clock_is_read_with_its_offset():
    found = accepted(corpus.telling_jpeg())

    assert found.taken_at == datetime(2026, 10, 14, 16, 5, 9, tzinfo=timezone(timedelta(hours=2)))


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("2026:10:14 16:05:09", datetime(2026, 10, 14, 16, 5, 9)),
        ("0000:00:00 00:00:00", None),
        ("1970:01:01 00:00:00", None),
        ("on Tuesday", None),
        ("2026:13:45 99:00:00", None),
    ],
)
def test_a_camera_clock_that_was_never_set_is_not_believed(written, expected):
    notes = Image.Exif()
    notes.get_ifd(0x8769)[0x9003] = written

    assert accepted(corpus.jpeg(exif=notes)).taken_at == expected


def test_an_orientation_that_does_not_exist_is_taken_as_upright():
    notes = Image.Exif()
    notes[0x0112] = 9

    found = accepted(corpus.jpeg(exif=notes))

    assert (found.width, found.height) == corpus.UPRIGHT_SIZE


def test_a_pixel_bomb_is_refused_without_being_unpacked():
    bomb = corpus.pixel_bomb()
    tracemalloc.start()

    with pytest.warns(Image.DecompressionBombWarning):
        refusal(bomb)

    peak_bytes = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak_bytes < 2 * len(bomb)


def test_a_file_of_more_bytes_than_the_bound_is_refused_with_both_numbers():
    reason = refusal(b"\xff\xd8\xff" + bytes(3 * 2**20), Bounds(most_bytes=2 * 2**20))

    assert "3 MB" in reason
    assert "2 MB" in reason


def test_a_webp_may_have_fewer_bytes_as_its_decoder_holds_them_too():
    webp = corpus.saved(corpus.upright_picture(), "WEBP")

    assert "a WebP may have 1 MB" in refusal(webp + bytes(2**20), Bounds(most_webp_bytes=2**20))


@pytest.mark.parametrize(("way", "options"), [("JPEG", {}), ("progressive JPEG", {"progressive": True})])
def test_each_way_of_storing_has_its_own_bound_in_pixels(way, options):
    large = corpus.saved(Image.new("RGB", (1300, 1000)), "JPEG", **options)
    tight = Bounds(most_megapixels={**Bounds().most_megapixels, way: 1})

    assert accepted(large).width == 1300
    assert f"a {way} may have 1 megapixels" in refusal(large, tight)


def test_a_photo_with_a_film_behind_it_keeps_every_byte_in_its_fingerprint():
    plain = corpus.jpeg()

    assert accepted(plain + corpus.FILM).sha256 != accepted(plain).sha256


@pytest.mark.parametrize("share", [0.05, 0.3, 0.6, 0.9, 0.97])
@pytest.mark.parametrize("progressive", [False, True])
def test_a_photo_cut_anywhere_is_refused(share, progressive):
    whole = corpus.noisy_jpeg(320, 240, progressive=progressive)

    assert "damaged" in refusal(whole[: round(len(whole) * share)])


def test_one_changed_byte_in_a_png_is_noticed():
    whole = bytearray(corpus.saved(corpus.upright_picture(), "PNG"))
    whole[whole.index(b"IDAT") + 20] ^= 0x40

    assert "damaged" in refusal(bytes(whole))


def test_a_heic_picture_is_refused_with_what_to_do_unless_the_extra_is_there():
    if accept.pillow_heif:
        pytest.skip("the HEIC extra is installed here")

    reason = refusal(corpus.HEIC)

    assert "JPEG" in reason
    assert "keeper" in reason


@settings(max_examples=150, deadline=None)
@given(st.data())
@pytest.mark.filterwarnings("ignore")
def test_no_damage_makes_it_raise(data):
    make, _ = corpus.ACCEPTED[data.draw(st.sampled_from(sorted(corpus.ACCEPTED)))]
    content = bytearray(make())
    for _ in range(data.draw(st.integers(1, 8))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    cut = data.draw(st.integers(0, len(content)))

    found = accept.accept(io.BytesIO(bytes(content[:cut])))

    assert isinstance(found, Accepted | Refusal)


@given(st.binary(max_size=200))
def test_a_file_of_any_bytes_has_a_kind(head):
    assert accept.kind_of(head[:64]) in {*accept.FORMATS, *accept.KIND_REFUSALS}
