"""Draws the year's photographs, in several processes where that helps."""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context

from PIL import ImageFilter

from studio.demo.draw import jpeg, photograph
from studio.demo.outcomes import Shot

CHUNK = 6
BLUR_PX = 13


@dataclass(frozen=True, slots=True)
class Drawn:
    """A photograph as the camera's file."""

    shot: Shot
    content: bytes


def draw(shot: Shot) -> Drawn:
    """One photograph; a shaken one is as blurred as such photographs are."""
    picture = photograph(shot.picture)
    if shot.shaken:
        picture = picture.filter(ImageFilter.GaussianBlur(BLUR_PX))
    return Drawn(shot, jpeg(picture, shot.taken_at))


def drawn(shots: Sequence[Shot], processes: int, told: Callable[[int], None]) -> list[Drawn]:
    """All of them, in their order; `told` hears now and then how many are done. No processes: drawn in this one.

    Tiles of one form are drawn together, as they share their fields of chance.
    """
    together = sorted(range(len(shots)), key=lambda turn: _form(shots[turn]))
    ordered = [shots[turn] for turn in together]
    if processes:
        # Fresh processes everywhere alike: a forked one would inherit open database connections.
        with ProcessPoolExecutor(processes, get_context("spawn")) as pool:
            pictures = _counted(pool.map(draw, ordered, chunksize=CHUNK), told)
    else:
        pictures = _counted(map(draw, ordered), told)
    return [picture for _, picture in sorted(zip(together, pictures, strict=True), key=lambda pair: pair[0])]


def _form(shot: Shot) -> tuple[float, float]:
    return shot.picture.height_mm, shot.picture.width_mm


def _counted(pictures: Iterator[Drawn], told: Callable[[int], None]) -> list[Drawn]:
    done = []
    for picture in pictures:
        done.append(picture)
        if len(done) % 50 == 0:
            told(len(done))
    return done
