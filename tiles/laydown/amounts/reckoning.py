"""Slop for so many coats on so large an area; the dry glaze and the water in a bucket of it."""

from dataclasses import dataclass

from tiles.laydown.brongniart import SOLIDS_DENSITY, WATER_G_PER_L, dry_g_per_l


@dataclass(frozen=True, slots=True)
class Slop:
    """A bucket of slop: what it measures and weighs, and what it is made of."""

    ml: float
    wet_g: float
    dry_g: float
    water_ml: float


def slop_of_volume(ml: float, specific_gravity: float, solids_density: float = SOLIDS_DENSITY) -> Slop:
    """What so much slop holds.

    Worked on a potters' mailing list (1998): a litre at 1.5, solids at 2.5, is 833.3 g dry and 666.7 g of water.

    >>> found = slop_of_volume(1000, 1.5, 2.5)
    >>> round(found.dry_g, 1), round(found.water_ml, 1)
    (833.3, 666.7)
    """
    wet_g = ml * specific_gravity
    dry_g = dry_g_per_l(specific_gravity, solids_density) * ml / WATER_G_PER_L
    return Slop(ml, wet_g, dry_g, wet_g - dry_g)


def slop_of_dry(dry_g: float, specific_gravity: float, solids_density: float = SOLIDS_DENSITY) -> Slop:
    """The slop that a mass of dry glaze makes at a specific gravity.

    14 kg of dry glaze at 1.5, solids at 2.5, take 11.2 kg of water (same list).

    >>> round(slop_of_dry(14_000, 1.5, 2.5).water_ml)
    11200
    """
    return slop_of_volume(
        dry_g * WATER_G_PER_L / dry_g_per_l(specific_gravity, solids_density),
        specific_gravity,
        solids_density,
    )


def slop_for(
    area_cm2: float, coats: float, wet_g_per_cm2: float, specific_gravity: float, waste_pct: float
) -> Slop:
    """The slop to have at hand for coats on an area, with what stays in brush and bucket.

    >>> round(slop_for(100, 3, 0.06, 1.5, 50).wet_g, 1)
    27.0
    """
    wet_g = area_cm2 * coats * wet_g_per_cm2 * (1 + waste_pct / 100)
    return slop_of_volume(wet_g / specific_gravity, specific_gravity)
