"""Solids and water of a glaze slop, from its weight by volume.

Brongniart, *Traité des arts céramiques* (1854): of a litre that weighs L grams, with solids G times as dense as water,
W = (L - 1000) G / (G - 1) grams are dry. A slop is taken as water and solids whose volumes add up.
"""

# Most glaze materials lie between 2.5 (nepheline syenite) and 2.9 (dolomite): a table after a handbook for potters.
SOLIDS_DENSITY = 2.6
WATER_G_PER_L = 1000.0


def dry_g_per_l(specific_gravity: float, solids_density: float = SOLIDS_DENSITY) -> float:
    """Dry glaze in a litre of slop [g].

    Parameters
    ----------
    specific_gravity : of the slop
    solids_density : of the dry glaze, water being 1

    Examples
    --------
    Worked on a potters' mailing list (1998): a litre that weighs 1500 g, solids at 2.5.

    >>> round(dry_g_per_l(1.5, 2.5), 1)
    833.3
    """
    return (specific_gravity - 1) * WATER_G_PER_L * solids_density / (solids_density - 1)


def sg_of(dry_g: float, solids_density: float = SOLIDS_DENSITY) -> float:
    """The specific gravity of a slop with so much dry glaze in a litre [g]; the inverse of `dry_g_per_l`.

    >>> round(sg_of(812.5, 2.6), 3)
    1.5
    """
    return 1 + dry_g / WATER_G_PER_L * (solids_density - 1) / solids_density


def dry_share(specific_gravity: float, solids_density: float = SOLIDS_DENSITY) -> float:
    """Of a slop's mass, the part that is dry glaze, 0 to 1.

    >>> round(dry_share(1.5, 2.6), 4)
    0.5417
    """
    return dry_g_per_l(specific_gravity, solids_density) / (specific_gravity * WATER_G_PER_L)


def water_to_thin_ml(volume_ml: float, sg_now: float, sg_wanted: float) -> float:
    """Water that brings a slop to a lower specific gravity [ml]; whatever the solids weigh.

    Raises
    ------
    ValueError : the wanted figure is no thinner slop

    Examples
    --------
    14 kg of dry glaze at 1.75 are 11.2 l with 5.6 kg of water, at 1.5 the water is 11.2 kg (mailing list, 1998).

    >>> water_to_thin_ml(11_200, 1.75, 1.5)
    5600.0
    """
    if not 1 < sg_wanted <= sg_now:
        raise ValueError(
            "Water only thins: the wanted specific gravity lies above 1 and not above the present one."
        )
    return volume_ml * (sg_now - sg_wanted) / (sg_wanted - 1)


def dry_g_of_wet(wet_g: float, specific_gravity: float, solids_density: float = SOLIDS_DENSITY) -> float:
    """Dry glaze in a mass of slop [g].

    >>> round(dry_g_of_wet(6.0, 1.45, 2.6), 3)
    3.026
    """
    return wet_g * dry_share(specific_gravity, solids_density)
