"""Figures as a needle scratches them in leather-hard clay: strokes on a field 0.6 wide and 1 high."""

from collections.abc import Iterator
from math import cos, pi, sin

from studio.demo.noise import Chance

Point = tuple[float, float]
Stroke = list[Point]


def arc(cx: float, cy: float, rx: float, ry: float, start: float, end: float) -> Stroke:
    """Part of an ellipse from ``start`` to ``end`` [quarter turns, clockwise from three o'clock]."""
    turns = [start + (end - start) * i / 12 for i in range(13)]
    return [(cx + rx * cos(t * pi / 2), cy + ry * sin(t * pi / 2)) for t in turns]


STROKES: dict[str, list[Stroke]] = {
    "0": [arc(0.3, 0.5, 0.26, 0.48, -1, 3.05)],
    "1": [[(0.14, 0.22), (0.34, 0.03), (0.32, 0.98)]],
    "2": [[*arc(0.3, 0.27, 0.25, 0.25, -2, 0.5), (0.05, 0.97), (0.58, 0.95)]],
    "3": [arc(0.28, 0.26, 0.24, 0.24, -1.8, 1) + arc(0.28, 0.73, 0.28, 0.25, -1, 1.8)],
    "4": [[(0.36, 0.02), (0.04, 0.64), (0.57, 0.62)], [(0.44, 0.36), (0.42, 0.98)]],
    "5": [[(0.52, 0.05), (0.14, 0.05), (0.1, 0.45), *arc(0.27, 0.69, 0.29, 0.29, -1.3, 1.75)]],
    "6": [[(0.45, 0.02), (0.16, 0.42), *arc(0.3, 0.71, 0.25, 0.26, -2.4, 1.9)]],
    "7": [[(0.04, 0.06), (0.56, 0.04), (0.2, 0.98)], [(0.2, 0.5), (0.48, 0.48)]],
    "8": [arc(0.3, 0.25, 0.21, 0.23, 1, 5) + arc(0.3, 0.73, 0.25, 0.25, -1, 3)],
    "9": [[*arc(0.3, 0.29, 0.24, 0.26, -0.2, 3.8), (0.53, 0.3), (0.42, 0.98)]],
    "-": [[(0.08, 0.53), (0.46, 0.5)]],
}


def scratched(text: str, high_mm: float, chance: Chance) -> Iterator[Stroke]:
    """The strokes of a number [mm from the upper left of its first figure], no two figures quite alike."""
    left = 0.0
    for figure in text:
        tall = high_mm * chance.uniform(0.9, 1.08)
        lean, lift = chance.uniform(-0.1, 0.1), chance.uniform(-0.06, 0.06) * high_mm
        for stroke in STROKES.get(figure, []):
            yield [(left + (x + lean * (0.5 - y)) * tall, lift + y * tall) for x, y in stroke]
        left += (0.55 if figure in "-1" else 0.78) * high_mm


def length_mm(text: str, high_mm: float) -> float:
    """How much room a number takes along its line."""
    return sum(0.55 if figure in "-1" else 0.78 for figure in text) * high_mm
