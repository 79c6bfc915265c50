"""What one look at a photo found, in words for people."""

from collections.abc import Iterator

from tiles import numbers
from tiles.photos.light import Light, percent
from tiles.photos.look import Look, NotSeen, SeenChart, SeenGreyCard
from tiles.photos.mat import SeenMat


def said_of(look: Look) -> Iterator[tuple[str, str]]:
    """What was looked for and what came of it, in pairs; what is missing says why."""
    yield "Tile codes", ", ".join(numbers.write(code.number) for code in look.codes) or "none of ours in view"
    yield "Photo mat", mat_words(look.mat)
    yield "Colour chart", chart_words(look.chart)
    yield "Grey card", card_words(look.grey_card)
    yield from light_words(look.light)


def mat_words(mat: SeenMat | NotSeen) -> str:
    """The sheet and the scale, which is as true as the print."""
    if isinstance(mat, NotSeen):
        return mat.reason
    rough = "rough, as few codes were read; " if mat.is_rough else ""
    scale = f"{mat.px_per_mm:.2f} ± {max(mat.plus_minus, 0.01):.2f} pixels to a millimetre"
    return f"{mat.layout.name}; {scale} on paper printed true; {rough}camera tilted by {mat.tilt_deg:.0f}°"


def chart_words(chart: SeenChart | NotSeen) -> str:
    """How far off the chart's colours are as photographed, and what is left."""
    if isinstance(chart, NotSeen):
        return chart.reason
    return (
        f"ΔE00 {chart.residual_before:.1f} as photographed, {chart.residual_mean:.1f} after correction (at most "
        f"{chart.residual_max:.1f}), by {chart.n} patches"
    )


def card_words(card: SeenGreyCard | NotSeen) -> str:
    """Whether there is one."""
    return card.reason if isinstance(card, NotSeen) else "in its place; sets brightness and white balance"


def light_words(light: Light) -> Iterator[tuple[str, str]]:
    """How even and how sharp, where something in view could tell."""
    if light.fall_off is not None:
        yield "Light", f"{percent(light.fall_off)} less {light.towards} of the mat"
    if light.edge_px is not None:
        width = f", {light.edge_mm:.2f} mm" if light.edge_mm is not None else ""
        yield "Sharpness", f"a printed edge is {light.edge_px:.1f} pixels wide{width}"
