"""Where the model's valid range ends, said in words: nothing outside of it passes in silence."""

from firings.heatwork.holdrule import LONGEST_RULED_MIN
from firings.heatwork.ladder import Step
from firings.notice import Notice, apart, rate
from firings.vocabulary import Atmosphere

# The published table's rates [°C/h], and how far it may be stretched with a warning.
TABLE_RATES_C_PER_H = (15.0, 150.0)
STRETCHED_RATES_C_PER_H = (10.0, 300.0)
# The chart's end points belong to the rate over so much of the rise below the top [°C].
LAST_PART_C = 100.0
# A kiln does not run to the degree: this share outside of the table's rates goes without saying.
SAME_RATE_SHARE = 0.07
# Cooling that adds less than this to the cone goes without saying.
COOLING_SAID_FROM = 0.25
# A top logged more coarsely than this [s] may have been missed.
COARSE_TOP_S = 600.0

# What holds of every cone that is computed from temperatures, for pages to say once (notes on the same chart; a large
# cone in a plaque bends about 2 °C earlier, by its own columns).
ALWAYS = (
    "It is the temperature at the cone that counts; a sensor in the wall may read something else.",
    "The table is for air: reduction changes how cones bend.",
    "It is for large self-supporting cones; a cone says what heat a cone has had, and glazes may differ.",
)


def atmosphere_words(atmosphere: str) -> list[Notice]:
    """A firing in reduction, for which the table was not made."""
    if atmosphere != Atmosphere.REDUCTION:
        return []
    return [
        Notice(
            "Fired in reduction: the table is for air, and reduction changes how cones bend. "
            "Witness cones made for it say more."
        )
    ]


def rate_words(rate_c_per_h: float | None) -> list[Notice]:
    """A rise in the last 100 °C that the table does not cover."""
    if rate_c_per_h is None:
        return [
            Notice(
                "The last ", apart(LAST_PART_C), " of the rise are not to be seen; their rate is not known."
            )
        ]
    low, high = TABLE_RATES_C_PER_H
    if low * (1 - SAME_RATE_SHARE) <= rate_c_per_h <= high * (1 + SAME_RATE_SHARE):
        return []
    lowest, highest = STRETCHED_RATES_C_PER_H
    sure = "extrapolated" if lowest <= rate_c_per_h <= highest else "a rough guess"
    return [
        Notice(
            "The last ",
            apart(LAST_PART_C),
            " rose at ",
            rate(rate_c_per_h),
            "; the published table covers ",
            rate(low),
            " to ",
            rate(high),
            f", so the cone is {sure}.",
        )
    ]


def ladder_words(step: Step) -> list[Notice]:
    """A firing off the ladder's ends."""
    if step.cone is None:
        return [Notice("Not even cone 019 is down; the table is too thin to read cooler firings.")]
    if step.is_beyond:
        return [Notice("Cone 14 is down, the last of the series: the firing was that hot at least.")]
    return []


def hold_words(held_min: float) -> list[Notice]:
    """A hold longer than any the published rules speak of."""
    if held_min <= LONGEST_RULED_MIN:
        return []
    return [
        Notice(
            f"Held for {held_min:.0f} min at the top; "
            f"published hold rules end at {LONGEST_RULED_MIN:.0f} min, so the band is wide."
        )
    ]


def cooling_words(at_off: Step, with_cooling: Step) -> list[Notice]:
    """Cooling slow enough to bend cones further."""
    if at_off.number is None or with_cooling.number is None:
        return []
    added = with_cooling.number - at_off.number
    if added < COOLING_SAID_FROM:
        return []
    return [
        Notice(
            f"Cooling added {added:.1f} cone after the top; it is shown apart and not counted in the cone."
        )
    ]
