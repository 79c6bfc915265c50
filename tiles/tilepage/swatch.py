"""A measured colour as a patch on the screen."""

# CIE 1976 L*a*b*, white D65, 2° observer (CIE 15; white point as in IEC 61966-2-1).
WHITE_D65 = (0.95047, 1.0, 1.08883)
DELTA = 6 / 29
# XYZ to linear sRGB, IEC 61966-2-1.
TO_LINEAR = (
    (3.2406, -1.5372, -0.4986),
    (-0.9689, 1.8758, 0.0415),
    (0.0557, -0.2040, 1.0570),
)


def hex_of(lab_l: float, lab_a: float, lab_b: float) -> str:
    """The nearest colour a screen shows to an L*a*b* colour (D65), such as #777777; out of gamut is clipped.

    >>> hex_of(100, 0, 0), hex_of(0, 0, 0)
    ('#ffffff', '#000000')
    """
    f_y = (lab_l + 16) / 116
    ratios = (f_y + lab_a / 500, f_y, f_y - lab_b / 200)
    xyz = [white * _from_f(ratio) for white, ratio in zip(WHITE_D65, ratios, strict=True)]
    linear = [sum(factor * part for factor, part in zip(row, xyz, strict=True)) for row in TO_LINEAR]
    return "#" + "".join(f"{_encode(channel):02x}" for channel in linear)


def _from_f(ratio: float) -> float:
    return ratio**3 if ratio > DELTA else 3 * DELTA**2 * (ratio - 4 / 29)


def _encode(channel: float) -> int:
    """A linear channel as an sRGB byte, IEC 61966-2-1."""
    inside = min(max(channel, 0.0), 1.0)
    shown = 12.92 * inside if inside <= 0.0031308 else 1.055 * inside ** (1 / 2.4) - 0.055
    return round(255 * shown)
