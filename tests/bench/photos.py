"""What photographs cost: storing against writing the bytes, renditions against bare Pillow, memory, damaged files.

    python -m tests.bench.photos [--photos 100] [--damaged 5000]

Every ratio is against a floor measured in the same run on the same machine.
"""

import argparse
import io
import itertools
import os
import random
import subprocess
import sys
import tempfile
import time
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
from PIL import Image, ImageOps

from tests.tiles.photos import corpus
from tiles.photos import accept, look, renditions
from tiles.photos.store import PhotoStore

CAMERA_SIZE = (4000, 3000)
SIDES_PX = (2000, 1000, 320)


def seconds(work: Callable[[], object], times: int = 9) -> float:
    """The best of several runs: whatever else the machine does can only add to it."""
    taken = []
    for _ in range(times):
        began = time.perf_counter()
        work()
        taken.append(time.perf_counter() - began)
    return min(taken)


def camera_photos(count: int) -> Iterator[bytes]:
    """Photos of 12 megapixels, each with bytes of its own behind the picture."""
    photo = corpus.noisy_jpeg(*CAMERA_SIZE, quality=88)
    for number in range(count):
        yield photo + number.to_bytes(4, "big")


def write_and_fsync(content: bytes, place: Path) -> None:
    """The floor of storing."""
    with place.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def bare_renditions(content: bytes) -> None:
    """The floor of renditions: Pillow alone, each size from the one before, nothing checked or converted."""
    picture = Image.open(io.BytesIO(content))
    picture.draft("RGB", (SIDES_PX[0], SIDES_PX[0] * 3 // 4))
    for side_px in SIDES_PX:
        picture.thumbnail((side_px, side_px), Image.Resampling.LANCZOS)
        picture = ImageOps.exif_transpose(picture)
        picture.save(io.BytesIO(), "JPEG", quality=renditions.QUALITY)


def show(what: str, found_s: float, floor_s: float, floor: str) -> None:
    """One line of the report."""
    print(
        f"{what:<44} {found_s * 1000:8.1f} ms   {found_s / floor_s:6.2f} × {floor} ({floor_s * 1000:.1f} ms)"
    )


def storing(folder: Path) -> None:
    """From the bytes to the disk, and from the request to the answer."""
    times = 9
    contents = camera_photos(4 * times)
    floor_s = seconds(lambda: write_and_fsync(next(contents), folder / "floor"), times)
    store = PhotoStore(folder / "photos")
    keep_s = seconds(lambda: _keep(store, next(contents)), times)
    show("keep an original (write, hash, fsync, rename)", keep_s, floor_s, "write + fsync")
    photo = next(contents)
    glance_s = seconds(lambda: accept.glance(io.BytesIO(photo), sha256="known"))
    show("look whether it is whole (head, bounds, structure)", glance_s, floor_s, "same")
    show("the same by decoding all of it", seconds(lambda: accept.damage(io.BytesIO(photo))), floor_s, "same")
    request_s, empty_s = _requests(folder, times)
    show("request to stored, filed to a tile", request_s, floor_s, "same")
    show("of which a request without a photo takes", empty_s, floor_s, "same")


def _keep(store: PhotoStore, content: bytes) -> None:
    with store.take_in(io.BytesIO(content)) as arrival:
        store.keep_original(arrival, "jpg")


REQUESTS = """
import sys, time
import django
django.setup()
from urllib.parse import urlencode
from django.core.management import call_command
call_command("migrate", verbosity=0)
from django.test import Client
from studio.people.services import add_person
from studio.roles import Role
from tests.bench.photos import camera_photos
from tests.factories import TileFactory
client = Client(headers={"accept": "application/json"}, SERVER_NAME="localhost")
tile = TileFactory()
client.force_login(add_person("Rowan Reed", Role.RECORDER))
where = "/photos/receive/?" + urlencode({"tile": tile.label, "name": "a.jpg"})
def send(body):
    began = time.perf_counter()
    answer = client.generic("POST", where, body, content_type="application/octet-stream")
    return time.perf_counter() - began, answer.json()["state"]
taken = []
for content in camera_photos(int(sys.argv[1])):
    took, state = send(content)
    assert state == "filed"
    taken.append(took)
print(min(taken), min(send(b"")[0] for _ in range(9)))
"""


def _requests(folder: Path, times: int) -> tuple[float, float]:
    """Seconds for a request with a photo, the work for it written down, and for one without."""
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    environment |= {"DJANGO_SETTINGS_MODULE": "studio.settings", "TILEWRIGHT_DATA": str(folder / "data")}
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", REQUESTS, str(times)],
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    request_s, empty_s = map(float, done.stdout.split()[-2:])
    return request_s, empty_s


def preparing() -> None:
    """Renditions of one 12-megapixel photo, and looking at it."""
    photo = next(camera_photos(1))
    floor_s = seconds(lambda: bare_renditions(photo))
    made_s = seconds(lambda: renditions.renditions(io.BytesIO(photo)))
    show("three renditions", made_s, floor_s, "bare Pillow")
    look_s = seconds(lambda: look.look_at(io.BytesIO(photo)), 3)
    show("look for codes, mat, chart, light; none in view", look_s, floor_s, "same")


def memory(count: int) -> None:
    """The most memory a process takes, and whether it grows with the number of photos."""
    if not Path("/proc/self/status").exists():
        print("memory: measured on Linux only")
        return
    for what in ("bare", "ours"):
        print(f"memory, {what}: " + _in_new_process(f"tests.bench.photos._memory({what!r}, {count})"))
    with scratch() as folder:
        _in_studio(folder, "")
        for what in LARGEST:
            _in_new_process(f"tests.bench.photos._write_largest({what!r}, {str(folder / 'picture')!r})")
            print(f"a worker's memory, {what}: " + _in_studio(folder, str(folder / "picture")))


def _in_new_process(call: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", f"import tests.bench.photos; {call}"],
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.strip()


def _memory(what: str, count: int) -> None:
    contents = camera_photos(count)
    first = next(contents)
    Path("/proc/self/clear_refs").write_text("5")  # forget the peak of drawing the photo
    begun_mb, early_mb = megabytes("VmRSS"), 0
    for number, content in enumerate(itertools.chain([first], contents)):
        if what == "bare":
            bare_renditions(content)
        else:
            _all_that_is_done(content)
        if number == count // 10:
            early_mb = megabytes("VmRSS")
    late_mb = megabytes("VmRSS")
    print(
        f"{begun_mb} MB to begin with, {early_mb} after {count // 10 + 1}, {late_mb} after {count} photos, "
        f"{late_mb - early_mb} more, at most {megabytes('VmHWM')}"
    )


def _all_that_is_done(content: bytes) -> None:
    """What request and worker do with a photo, in one process."""
    assert isinstance(accept.glance(io.BytesIO(content)), accept.Accepted)
    renditions.renditions(io.BytesIO(content))
    look.look_at(io.BytesIO(content))


def _noise(width: int, height: int, mode: str = "RGB") -> Image.Image:
    """A picture that packs badly: the costliest of its size."""
    rng = np.random.default_rng(1)
    picture = Image.new(mode, (width, height))
    for top in range(0, height, 100):
        band = rng.integers(0, 256, (min(100, height - top), width, len(mode)), dtype=np.uint8)
        picture.paste(Image.fromarray(band, mode), (0, top))
    return picture


def _coarse_noise(width: int, height: int) -> Image.Image:
    """The same, see-through, in squares of 4 × 4 pixels, so that the file is small enough to be let in."""
    return _noise(width // 4, height // 4, "RGBA").resize((width, height), Image.Resampling.NEAREST)


# The largest picture of each way of storing that is let in.
LARGEST: dict[str, Callable[[], bytes]] = {
    "JPEG of 80 MP": lambda: corpus.saved(_noise(10_300, 7_700), "JPEG", quality=60),
    "progressive JPEG of 30 MP": lambda: corpus.saved(
        _noise(6_300, 4_700), "JPEG", quality=80, progressive=True
    ),
    "PNG of 24 MP, see-through": lambda: corpus.saved(_coarse_noise(6_000, 4_000), "PNG", compress_level=1),
    "WebP of 12 MP, lossless, see-through": lambda: corpus.saved(
        _coarse_noise(4_032, 3_024), "WEBP", lossless=True, method=0
    ),
    "WebP of 12 MP": lambda: corpus.saved(
        _coarse_noise(4_032, 3_024).convert("RGB"), "WEBP", quality=90, method=0
    ),
}


# In a process of its own, as drawing and packing such a picture takes more than looking at it.
WORKER = """
import sys
import django
django.setup()
from pathlib import Path
from django.core.management import call_command, execute_from_command_line
from tests.bench.photos import megabytes
from tiles.models import Photo
from tiles.photos.services import store_photo
if not sys.argv[1]:
    call_command("migrate", verbosity=0)
    sys.exit()
begun_mb = megabytes("VmRSS")
with open(sys.argv[1], "rb") as file:
    photo = store_photo(file, by=None)
execute_from_command_line(["manage.py", "worker", "--once"])
photo.refresh_from_db()
assert photo.looked_at and not photo.damage
file_mb = photo.byte_count / 2**20
print(f"{file_mb:.0f} MB of file, {begun_mb} MB to begin with, at most {megabytes('VmHWM')}")
"""


def _in_studio(folder: Path, *words: str) -> str:
    """Run the worker's script on a studio of its own; what it prints."""
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    environment |= {"DJANGO_SETTINGS_MODULE": "studio.settings", "TILEWRIGHT_DATA": str(folder / "studio")}
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", WORKER, *words],
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.strip()


def _write_largest(what: str, place: str) -> None:
    Path(place).write_bytes(LARGEST[what]())


def megabytes(line: str) -> int:
    """What the system says of this process's memory: ``VmRSS`` now, ``VmHWM`` at most [MB]."""
    status = Path("/proc/self/status").read_text()
    return int(status.partition(f"{line}:")[2].split()[0]) // 1024


def damaged(count: int) -> None:
    """Damaged files: what a glance lets in is either shown or found out by decoding, and nothing makes either fail."""
    warnings.simplefilter("ignore")
    chance = random.Random(4)
    whole = [make() for make, _ in corpus.ACCEPTED.values()]
    whole += [corpus.noisy_jpeg(300, 200), corpus.noisy_jpeg(300, 200, progressive=True)]
    found = Counter(_fate(_damage(bytearray(chance.choice(whole)), chance)) for _ in range(count))
    print(
        f"{count} damaged files: " + ", ".join(f"{number} {fate}" for fate, number in sorted(found.items()))
    )


def _fate(content: bytes) -> str:
    """What becomes of a file: refused at once, found damaged in the worker, or shown."""
    if isinstance(accept.glance(io.BytesIO(content)), accept.Refusal):
        return "refused at once"
    if accept.damage(io.BytesIO(content)) is not None:
        return "found damaged afterwards"
    renditions.renditions(io.BytesIO(content))
    look.look_at(io.BytesIO(content))
    return "shown"


def _damage(content: bytearray, chance: random.Random) -> bytes:
    """Cut it, change some bytes, or put some in."""
    how, at = chance.random(), chance.randrange(len(content))
    if how < 0.3:
        del content[at:]
    elif how < 0.8:
        for _ in range(chance.choice([1, 1, 2, 5, 30])):
            content[chance.randrange(len(content))] = chance.randrange(256)
    else:
        content[at:at] = chance.randbytes(chance.randrange(200))
    return bytes(content)


@contextmanager
def scratch() -> Iterator[Path]:
    """A folder on the disk that the studio's data would be on."""
    with tempfile.TemporaryDirectory() as name:
        yield Path(name)


def main() -> None:
    """Measure all and print."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--photos", type=int, default=100)
    words.add_argument("--damaged", type=int, default=5000)
    asked = words.parse_args()
    with scratch() as folder:
        storing(folder)
    preparing()
    memory(asked.photos)
    damaged(asked.damaged)


if __name__ == "__main__":
    main()
