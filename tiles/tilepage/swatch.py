"""A measured colour as a patch on the screen."""

from tiles.colour.lab import lab_to_srgb


def hex_of(lab_l: float, lab_a: float, lab_b: float) -> str:
    """The nearest colour a screen shows to an L*a*b* colour (D65), such as #777777; out of gamut is clipped.

    >>> hex_of(100, 0, 0), hex_of(0, 0, 0)
    ('#ffffff', '#000000')
    """
    shown = lab_to_srgb((lab_l, lab_a, lab_b)).clip(0, 255)
    return "#" + "".join(f"{round(float(channel)):02x}" for channel in shown)
