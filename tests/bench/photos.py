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

from PIL import Image, ImageOps

from tests.tiles.photos import corpus
from tiles.photos import accept, codes, renditions
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
    contents = camera_photos(3 * times)
    floor_s = seconds(lambda: write_and_fsync(next(contents), folder / "floor"), times)
    store = PhotoStore(folder / "photos")
    keep_s = seconds(lambda: _keep(store, next(contents)), times)
    show("keep an original (hash, write, fsync, rename)", keep_s, floor_s, "write + fsync")
    photo = next(contents)
    show(
        "look at it (bounds, decode, hash)",
        seconds(lambda: accept.accept(io.BytesIO(photo))),
        floor_s,
        "same",
    )
    show("request to stored, filed to a tile", _requests(folder, times), floor_s, "same")


def _keep(store: PhotoStore, content: bytes) -> None:
    file = io.BytesIO(content)
    store.keep_original(file, accept.fingerprint(file), "jpg")


REQUESTS = """
import sys, time
import django
django.setup()
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
call_command("migrate", verbosity=0)
from django.test import Client
from studio.people.services import add_person
from studio.roles import Role
from tests.bench.photos import camera_photos
from tests.factories import TileFactory
from tiles.photos import tasks
tasks.prepare_soon = lambda photo: None
client = Client(headers={"accept": "application/json"}, SERVER_NAME="localhost")
tile = TileFactory()
client.force_login(add_person("Rowan Reed", Role.RECORDER))
taken = []
for content in camera_photos(int(sys.argv[1])):
    upload = SimpleUploadedFile("a.jpg", content, "image/jpeg")
    began = time.perf_counter()
    answer = client.post("/photos/receive/", {"photo": upload, "tile": tile.label})
    taken.append(time.perf_counter() - began)
    assert answer.json()["state"] == "filed"
print(min(taken))
"""


def _requests(folder: Path, times: int) -> float:
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    environment |= {"DJANGO_SETTINGS_MODULE": "studio.settings", "TILEWRIGHT_DATA": str(folder / "data")}
    done = subprocess.run(
        [sys.executable, "-c", REQUESTS, str(times)],
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    return float(done.stdout.split()[-1])


def preparing() -> None:
    """Renditions and codes of one 12-megapixel photo."""
    photo = next(camera_photos(1))
    floor_s = seconds(lambda: bare_renditions(photo))
    show(
        "three renditions", seconds(lambda: renditions.renditions(io.BytesIO(photo))), floor_s, "bare Pillow"
    )
    show(
        "look for codes, none in view",
        seconds(lambda: codes.codes_in_view(io.BytesIO(photo)), 5),
        floor_s,
        "same",
    )


def memory(count: int) -> None:
    """The most memory a process takes, and whether it grows with the number of photos."""
    if not Path("/proc/self/status").exists():
        print("memory: measured on Linux only")
        return
    for what in ("bare", "ours"):
        print(f"memory, {what}: " + _in_new_process(f"tests.bench.photos._memory({what!r}, {count})"))


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
    begun_mb, early_mb = _megabytes("VmRSS"), 0
    for number, content in enumerate(itertools.chain([first], contents)):
        if what == "bare":
            bare_renditions(content)
        else:
            accept.accept(io.BytesIO(content))
            renditions.renditions(io.BytesIO(content))
        if number == count // 10:
            early_mb = _megabytes("VmRSS")
    print(
        f"{begun_mb} MB to begin with, {early_mb} after {count // 10 + 1}, {_megabytes('VmRSS')} after {count} "
        f"photos, at most {_megabytes('VmHWM')}"
    )


def _megabytes(line: str) -> int:
    status = Path("/proc/self/status").read_text()
    return int(status.partition(f"{line}:")[2].split()[0]) // 1024


def damaged(count: int) -> None:
    """Damaged files: what is accepted can be shown, and nothing makes the looking fail."""
    warnings.simplefilter("ignore")
    chance = random.Random(4)
    whole = [make() for make, _ in corpus.ACCEPTED.values()]
    whole += [corpus.noisy_jpeg(300, 200), corpus.noisy_jpeg(300, 200, progressive=True)]
    found: Counter[str] = Counter()
    for _ in range(count):
        content = _damage(bytearray(chance.choice(whole)), chance)
        answer = accept.accept(io.BytesIO(content))
        if isinstance(answer, accept.Accepted):
            renditions.renditions(io.BytesIO(content))
            codes.codes_in_view(io.BytesIO(content))
        found[type(answer).__name__] += 1
    print(
        f"{count} damaged files: " + ", ".join(f"{number} {kind}" for kind, number in sorted(found.items()))
    )


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
