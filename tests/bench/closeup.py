"""What cutting a photo into pieces costs, each photo in a process of its own.

    python -m tests.bench.closeup

Prints for each kind of photo the level cut, its pieces, the time against bare Pillow decoding the same level and
writing it as one JPEG, and the most memory the process held. The figure to keep: under 225 MB, since a process that
serves pages holds some 75 MB more than this bare one and may have 300. WebP costs what making its renditions costs: its
decoder holds several whole pictures.
"""

import io
import multiprocessing
import resource
import time

from PIL import Image, JpegImagePlugin

from tiles.closeup.pieces import pieces, pyramid_of
from tiles.photos import accept

KINDS = {
    "12 MP JPEG": ((4000, 3000), "JPEG", {}),
    "45 MP JPEG": ((7740, 5805), "JPEG", {}),
    "80 MP JPEG": ((10320, 7740), "JPEG", {}),
    "18 MP progressive JPEG": ((4890, 3670), "JPEG", {"progressive": True}),
    "30 MP progressive JPEG": ((6320, 4740), "JPEG", {"progressive": True}),
    "24 MP PNG": ((5640, 4230), "PNG", {"compress_level": 1}),
    "13 MP WebP": ((4160, 3120), "WEBP", {"quality": 80, "method": 0}),
}


def made(kind: str) -> bytes:
    """A photo with detail all over, made from a smaller one so that making it costs little."""
    size, file_format, options = KINDS[kind]
    noise = Image.merge("RGB", [Image.effect_noise((1024, 768), 60) for _ in range(3)])
    kept = io.BytesIO()
    noise.resize(size, Image.Resampling.NEAREST).save(kept, file_format, **options)
    return kept.getvalue()


def cut(content: bytes) -> tuple[int, int, float, float]:
    """Finest level, number of pieces, seconds, most memory [MB] of this process."""
    file = io.BytesIO(content)
    pyramid = pyramid_of(file)
    began = time.perf_counter()
    count = sum(1 for _ in pieces(file, pyramid.finest))
    took = time.perf_counter() - began
    return pyramid.finest, count, took, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def bare(content: bytes, level: int) -> float:
    """Seconds bare Pillow takes to decode the same level and write it as one JPEG."""
    photo = accept.open_photo(io.BytesIO(content))
    began = time.perf_counter()
    if isinstance(photo, JpegImagePlugin.JpegImageFile):
        photo.draft("RGB", (photo.width >> level, photo.height >> level))
    photo.convert("RGB").save(io.BytesIO(), "JPEG", quality=90)
    return time.perf_counter() - began


def alone(work, *given):
    """The answer of a process that does nothing else, and starts afresh."""
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        return pool.apply(work, given)


def main() -> None:
    print(f"{'photo':<24}{'level':>6}{'pieces':>8}{'s':>7}{'× bare':>8}{'MB':>6}")
    for kind in KINDS:
        content = alone(made, kind)
        level, count, took, most_mb = alone(cut, content)
        ratio = took / alone(bare, content, level)
        print(f"{kind:<24}{level:>6}{count:>8}{took:>7.2f}{ratio:>8.2f}{most_mb:>6.0f}")


if __name__ == "__main__":
    main()
