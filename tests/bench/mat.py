"""Photographs of the mat and of codes, rendered with all that is true of them known: what is found, and how far off.

    python -m tests.bench.mat [--photos 24] [--codes 20] [--only scale|colour|codes|cost]

Prints the tables that stand in DEVELOPERS.md. Everything is seeded: the same run gives the same tables. The camera is a
simulated one without lens errors; real photos are worse.
"""

import argparse
import io
import resource
import time
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
import zxingcpp
from PIL import Image
from scipy.ndimage import gaussian_filter

from tests.tiles.colour.scenes import LIGHTS, Shot
from tests.tiles.photos.mat_scenes import LABEL, Photographed, Scene, photographed
from tiles.colour.difference import ciede2000
from tiles.colour.homography import fit_homography
from tiles.colour.lab import Illuminant, linear_to_lab
from tiles.colour.placing import Corners, Face, Place, face_on_mat, pixels_within, zone_on
from tiles.colour.regions import area_colour
from tiles.photos import renditions
from tiles.photos.look import Look, NotSeen, look_at, read_codes
from tiles.photos.mat import SeenMat

SIZE = (2250, 3000)
FACE = Face(66, 112, 7)


def scenes(count: int) -> Iterator[Scene]:
    """Photos as people take them: any sheet, held a little askew, light that falls off, lights of four kinds."""
    chance = np.random.default_rng(20)
    for number in range(count):
        shot = Shot(
            light=list(LIGHTS)[number % 4],
            exposure=chance.uniform(0.55, 0.95),
            noise=chance.uniform(1, 5),
            blur_px=chance.uniform(0.7, 1.8),
            tone=(0.0, 0.15)[number // 4 % 2],
            seed=number,
        )
        yield Scene(
            sheet=("A4", "LT", "A3")[number % 3],
            shot=shot,
            tilt_deg=chance.uniform(0, 20),
            towards_deg=chance.uniform(0, 360),
            turn_deg=chance.uniform(-4, 4),
            fill=chance.uniform(0.72, 0.88),
            fall_off=chance.uniform(0, 0.35),
            darker_deg=chance.uniform(0, 360),
            size=SIZE,
            lift_mm=7,
            quality=int(chance.integers(80, 95)),
            glazes=number,
        )


def scale_table(taken: list[tuple[Scene, Photographed, Look]]) -> None:
    """px/mm against the truth."""
    print("\n| px/mm, off by | mean | 95 of 100 | most | within the stated range |\n|---|---|---|---|---|")
    mats = [(photo, look.mat) for _, photo, look in taken if isinstance(look.mat, SeenMat)]
    good = [(photo, mat) for photo, mat in mats if not mat.is_rough]
    print(
        f"| all four codes or three: {len(good)} of {len(taken)} photos | {_scale_row(good, on_face=False)}"
    )
    print(f"| the same, on the face of a tile 7 mm thick | {_scale_row(good, on_face=True)}")


def _scale_row(mats: list[tuple[Photographed, SeenMat]], *, on_face: bool) -> str:
    off, within = [], 0
    for photo, mat in mats:
        true, found = (
            (photo.px_per_mm_face, mat.px_per_mm_on(7)) if on_face else (photo.px_per_mm, mat.px_per_mm)
        )
        off.append(abs(found - true) / true)
        within += abs(found - true) <= mat.plus_minus
    mean, high, most = np.mean(off), np.percentile(off, 95), np.max(off)
    return f"{mean:.3%} | {high:.3%} | {most:.3%} | {within / len(mats):.0%} |"


def colour_table(taken: list[tuple[Scene, Photographed, Look]]) -> None:
    """ΔE00 of glazes: as photographed, by the chart alone, and by the chart and the light on the mat's paper."""
    print("\n| ΔE00 of four glazes on each tile | mean | 95 of 100 | most |\n|---|---|---|---|")
    ways: dict[str, list[float]] = {}
    for _, photo, look in taken:
        for name, off in _colours_off(photo, look):
            ways.setdefault(name, []).extend(off)
    for name, off in ways.items():
        print(f"| {name} ({len(off)}) | {np.mean(off):.1f} | {np.percentile(off, 95):.1f} | {max(off):.1f} |")


def _colours_off(photo: Photographed, look: Look) -> Iterator[tuple[str, list[float]]]:
    if not isinstance(look.mat, SeenMat) or isinstance(look.chart, NotSeen):
        return
    pixels = np.asarray(renditions.upright(io.BytesIO(photo.file), 2000))
    face = face_on_mat(look.mat, FACE)
    zones = [zone_on(face, FACE, Place(0, 28 * number, 66, 28)) for number in range(4)]
    chart_at = np.mean(look.chart.corners, axis=0)

    def off(read: Callable[[Corners], tuple[float, ...]]) -> list[float]:
        true = [linear_to_lab(colour, Illuminant.D50) for _, colour in photo.bands]
        return [float(ciede2000(read(zone), lab)) for zone, lab in zip(zones, true, strict=True)]

    def seen(zone: Corners) -> np.ndarray:
        return pixels_within(pixels, zone)

    def gain(zone: Corners) -> float:
        return look.light.at(chart_at) / look.light.at(np.mean(zone, axis=0))

    d50 = Illuminant.D50
    yield "as photographed", off(lambda zone: area_colour(seen(zone), illuminant=d50).lab)
    yield "chart, light taken as even", off(lambda zone: area_colour(seen(zone), look.correction, d50).lab)
    yield (
        "chart, light by the mat’s paper",
        off(lambda zone: area_colour(seen(zone), look.correction, d50, gain(zone)).lab),
    )


MODULE_PX = (2.5, 3.5, 4.5, 5.5, 7.0, 10.0)
HARDSHIPS = {
    "clean": {},
    "blur 1 px": {"blur": 1.0},
    "blur 2 px": {"blur": 2.0},
    "blur 3 px": {"blur": 3.0},
    "tilt 20°": {"tilt": 20},
    "tilt 35°": {"tilt": 35},
    "tilt 50°": {"tilt": 50},
    "dark, a tenth of the light": {"light": 0.1},
    "half in shadow": {"shadow": 0.7},
    "noise 8 of 255": {"noise": 8.0},
    "noise 20 of 255": {"noise": 20.0},
    "dim and noisy, blur 1 px": {"light": 0.25, "noise": 12.0, "blur": 1.0},
}


def code_table(count: int) -> None:
    """How many of `count` photos of a tile's label are read, by the size of a module and what makes it hard."""
    print(f"\n| codes read of {count}, module of | " + " | ".join(f"{px:g} px" for px in MODULE_PX) + " |")
    print("|---" * (len(MODULE_PX) + 1) + "|")
    for name, hardship in HARDSHIPS.items():
        rates = [sum(_is_read(px, seed, **hardship) for seed in range(count)) / count for px in MODULE_PX]
        print(f"| {name} | " + " | ".join(f"{rate:.0%}" for rate in rates) + " |")


def _is_read(
    module_px: float,
    seed: int,
    *,
    blur: float = 0.5,
    tilt: float = 0.0,
    light: float = 0.8,
    shadow: float = 0.0,
    noise: float = 2.0,
) -> bool:
    """One label on a grey table, turned anyhow; read as a look reads it."""
    chance = np.random.default_rng(seed)
    code = zxingcpp.create_barcode(LABEL, zxingcpp.BarcodeFormat.QRCode, ec_level="M")
    modules = np.asarray(code.to_image(scale=8, add_quiet_zones=True))
    flat = np.where(modules > 0, 0.86, 0.03).astype(np.float32)
    side = len(modules) / 8 * module_px
    picture = np.full((640, 640), 0.25, np.float32)
    corners = _corners_in_view(side, np.radians(tilt), chance.uniform(0, 2 * np.pi)) + chance.uniform(
        300, 340, 2
    )
    size = flat.shape[0]
    to_flat = fit_homography(corners, [(0, 0), (size, 0), (size, size), (0, size)])
    way = to_flat.ravel()[:8].tolist()
    # Drawn twice as large and averaged, so that small modules are not cut by pixels.
    large = _warped(flat, way, 640)
    on = _warped(np.ones_like(flat), way, 640) > 0.5
    picture[on] = large[on]
    if shadow:
        picture[:, 320:] *= 1 - shadow
    seen = gaussian_filter(picture, blur) * light
    coded = 255 * np.clip(seen, 0, 1) ** (1 / 2.2) + chance.normal(0, noise, seen.shape)
    file = io.BytesIO()
    Image.fromarray(coded.clip(0, 255).astype(np.uint8)).save(file, "JPEG", quality=85)
    grey = np.asarray(renditions.upright_grey(file, 640))
    return [code.content for code in read_codes(grey)] == [LABEL]


def _corners_in_view(side: float, tilt: float, turn: float) -> np.ndarray:
    """The label's corners around the middle, seen from four sides' lengths away."""
    square = np.array([(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)]) * side
    turned = square @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    x, y, depth = turned[:, 0] * np.cos(tilt), turned[:, 1], 1 + turned[:, 0] * np.sin(tilt) / (4 * side)
    return np.stack([x / depth, y / depth], axis=1)


def _warped(flat: np.ndarray, way: list[float], side: int) -> np.ndarray:
    """Into a picture of `side`, at twice the size and averaged down."""
    doubled = [way[0] / 2, way[1] / 2, way[2], way[3] / 2, way[4] / 2, way[5], way[6] / 2, way[7] / 2]
    large = Image.fromarray(flat).transform(
        (2 * side, 2 * side), Image.Transform.PERSPECTIVE, doubled, Image.Resampling.BILINEAR
    )
    return np.asarray(large).reshape(side, 2, side, 2).mean(axis=(1, 3))


def cost_table() -> None:
    """Processor seconds of one look at a 12-megapixel photo: the best of five, with and without mat and chart."""
    print("\n| a look at 12 megapixels | processor seconds |\n|---|---|")
    whole = Scene(size=(3000, 4000), shot=Shot(blur_px=1.2))
    for name, scene in (
        ("mat and chart", whole),
        ("mat, no chart", replace(whole, chart=False)),
        ("label alone", replace(whole, fill=2.2, chart=False)),
    ):
        file = io.BytesIO(photographed(scene).file)
        photographed.cache_clear()
        print(f"| {name} | {min(_seconds(lambda file=file: look_at(file)) for _ in range(5)):.2f} |")


def _seconds(work: Callable[[], object]) -> float:
    began = time.process_time()
    work()
    return time.process_time() - began


def memory(path: str) -> None:
    """Most memory of this process while it looks at one file [MB]: run it alone."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    with open(path, "rb") as file:
        look_at(file)
    print(
        f"{before:.0f} MB before, at most {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB"
    )


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--photos", type=int, default=24)
    asked.add_argument("--codes", type=int, default=20)
    asked.add_argument("--only", choices=["scale", "colour", "codes", "cost"])
    asked.add_argument("--memory", metavar="FILE", help="only tell how much memory a look at this file takes")
    options = asked.parse_args()
    if options.memory:
        memory(options.memory)
        return
    if options.only in (None, "scale", "colour"):
        taken = []
        for scene in scenes(options.photos):
            photo = photographed(scene)
            taken.append((scene, photo, look_at(io.BytesIO(photo.file))))
        scale_table(taken)
        colour_table(taken)
    if options.only in (None, "codes"):
        code_table(options.codes)
    if options.only in (None, "cost"):
        cost_table()


if __name__ == "__main__":
    main()
