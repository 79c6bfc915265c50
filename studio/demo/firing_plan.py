"""The demo studio's firings: bisque and glaze, two atmospheres, four cones, with and without a hold."""

from firings.cones import series
from studio.demo.story import FiringStory

# Oriel's thermocouple ages: from its second firing on it reads low [°C at cone 6].
AGED_C = -9.0
# Once the probe of Bellows had slipped half out of its hole.
SLIPPED_C = -42.0

FIRINGS: tuple[FiringStory, ...] = (
    FiringStory(
        1, "Oriel", "06", 172, -5.0, "bisque", note="First bisque of the year, 60 °C an hour to 600."
    ),
    FiringStory(2, "Oriel", "06", 158, -4.9, "bisque", sensor_c=AGED_C),
    FiringStory(3, "Oriel", "5", 150, 5.0, evidence="target", note="Forgot the cones. Never again."),
    FiringStory(4, "Oriel", "6", 143, 5.9, sensor_c=AGED_C),
    FiringStory(
        5, "Oriel", "6", 131, 6.2, hold_min=15, note="Same as the one before, but held.", sensor_c=AGED_C
    ),
    FiringStory(6, "Thimble", "04", 122, -3.1),
    FiringStory(
        7, "Oriel", "04", 112, -3.0, "bisque", note="Hotter bisque for the gassy dark clay.", sensor_c=AGED_C
    ),
    FiringStory(
        8,
        "Bellows",
        "10",
        101,
        9.9,
        atmosphere="reduction",
        note="Body reduction from cone 08, cleaned up for ten minutes.",
        seen=(
            (5.2, "Carbon monoxide alarm checked. Damper a third in, flame at the spy hole."),
            (10.4, "Cone 9 soft on the lowest shelf."),
            (12.0, "Cone 10 down below, leaning above. Off."),
        ),
    ),
    FiringStory(
        9,
        "Bellows",
        "10",
        84,
        10.3,
        atmosphere="reduction",
        hold_min=15,
        note="The cones were down long before the display said so: the probe had slipped half out of its hole.",
        sensor_c=SLIPPED_C,
    ),
    FiringStory(
        10,
        "Bellows",
        "6",
        71,
        6.0,
        atmosphere="reduction",
        note="Short firing: what does reduction do at cone 6?",
    ),
    FiringStory(
        11,
        "Oriel",
        "6",
        58,
        6.0,
        hold_min=10,
        note="Eight tiles in for the second time.",
        seen=((0.4, "Vent open to 120, the tiles were damp."),),
        sensor_c=AGED_C,
    ),
    FiringStory(12, "Oriel", "06", 47, -5.0, "bisque", sensor_c=AGED_C),
    FiringStory(13, "Thimble", "04", 40, -2.9, hold_min=5, evidence="controller"),
    FiringStory(14, "Oriel", "6", 26, 6.1, hold_min=15, sensor_c=AGED_C),
    FiringStory(
        15,
        "Bellows",
        "10",
        9,
        9.7,
        atmosphere="reduction",
        state="fired",
        note="Wind in the chimney, stalled at cone 8.",
        seen=(
            (8.3, "Stalled. Damper out a finger."),
            (9.1, "Climbing again."),
            (12.3, "Cone 10 at two o’clock on top. Off."),
        ),
    ),
    FiringStory(16, "Oriel", "5", 3, 5.0, hold_min=10, state="loaded", note="Ready to go."),
    FiringStory(17, "Thimble", "04", 2, -3.0, state="planned"),
)
HALF_UNLOADED = 15

# Programmes: rate [°C/h], target [°C], hold [min]. Targets are the published end points at 60 °C/h in the last 100 °C
# (Orton Foundation, chart for self-supporting cones), which is the rate of each last segment.
PROGRAMMES: dict[str, tuple[tuple[float, float, int], ...]] = {
    "Bisque, slow": ((60, 600, 0), (120, 900, 0), (60, 998, 10)),
    "Bisque, hot": ((60, 600, 0), (120, 960, 0), (60, 1063, 10)),
    "Low fire": ((120, 960, 0), (60, 1063, 5)),
    "Cone 5": ((120, 600, 0), (150, 1080, 0), (60, 1186, 10)),
    "Cone 6": ((120, 600, 0), (150, 1120, 0), (60, 1222, 0)),
    "Cone 6, held": ((120, 600, 0), (150, 1120, 0), (60, 1222, 15)),
    "Cone 6 in gas": ((120, 600, 0), (100, 1120, 0), (60, 1222, 0)),
    "Cone 10 reduction": ((100, 600, 0), (120, 950, 30), (80, 1190, 0), (60, 1285, 0)),
}


def programme_of(firing: FiringStory) -> str:
    """The programme a firing ran on."""
    if firing.purpose == "bisque":
        return "Bisque, hot" if firing.target == "04" else "Bisque, slow"
    if firing.target == "6":
        return (
            "Cone 6 in gas" if firing.kiln == "Bellows" else "Cone 6, held" if firing.hold_min else "Cone 6"
        )
    return {"04": "Low fire", "5": "Cone 5", "10": "Cone 10 reduction"}[firing.target]


def bends(reached: float, target: str) -> list[tuple[int, int]]:
    """Guide, target and guard cone in one place: rank in the series and bend [degrees] at that decimal cone.

    >>> bends(5.8, "6")
    [(28, 90), (30, 72), (31, 0)]
    """
    middle = series.of_order(series.order_of(target)).number
    row = [cone for cone in series.cones() if cone.is_whole and abs(cone.number - middle) <= 1]
    return [(cone.order, round(90 * min(max(reached - float(cone.number) + 1, 0), 1))) for cone in row]


def energy_kwh(firing: FiringStory) -> float:
    """What an electric firing took; hotter and held takes more (figures of our own)."""
    hotter = firing.reached + 6
    return 8.4 + 0.35 * hotter if firing.kiln == "Thimble" else 41 + 1.9 * hotter + 0.12 * firing.hold_min
