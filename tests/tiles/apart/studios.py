"""Studios at random, small in conditions so that results one change apart abound."""

from random import Random

from tests.factories import (
    CONE_5,
    CONE_6,
    ClayBodyFactory,
    CoverageFactory,
    FiringFactory,
    GlazeBatchFactory,
    GlazeFactory,
    KilnFactory,
    LayerFactory,
    PlacementFactory,
    TileFactory,
    TileFormFactory,
)
from tiles.conditions import services as conditions


def random_studio(dice: Random, *, tiles: int) -> None:
    """Tiles of one or two bands with one to three layers of two glazes, in firings of two kilns, cones and holds."""
    glazes = [GlazeFactory(), GlazeFactory()]
    lots = [GlazeBatchFactory(glaze=glaze) for glaze in glazes]
    bodies, form = [ClayBodyFactory(), ClayBodyFactory()], TileFormFactory()
    kiln = KilnFactory()
    firings = [
        FiringFactory(fired=True, kiln=kiln),
        FiringFactory(fired=True, kiln=kiln, reached_order=CONE_5),
        FiringFactory(fired=True, kiln=kiln, hold_min=10),
        FiringFactory(fired=True, kiln=kiln, atmosphere="reduction"),
        FiringFactory(fired=True, reached_order=CONE_6),
        FiringFactory(kiln=kiln),
    ]
    placed = []
    for _ in range(tiles):
        tile = TileFactory(body=dice.choice(bodies), form=form)
        zones = [zone for zone in tile.zones.all() if zone.name in ("band 1", "texture")]
        for _ in range(dice.choice((1, 1, 1, 2, 2, 3))):
            which = dice.choice((0, 0, 1))
            layer = LayerFactory(
                tile=tile,
                glaze=glazes[which],
                batch=dice.choice((None, None, None, lots[which])),
                method=dice.choice(("brush", "brush", "brush", "spray")),
            )
            for zone in zones:
                CoverageFactory(layer=layer, zone=zone, coats=dice.randint(1, 2))
        placed.append(PlacementFactory(tile=tile, firing=dice.choice(firings)).pk)
    conditions.make_outcomes(placed)
