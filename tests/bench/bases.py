"""How far off a colour is by what it rests on: python -m tests.bench.bases

Sixty colours under four lights, four ways of holding the camera and three tone curves, on a simulated camera: ΔE00 from
the true colour, and between two colours of one photo by how much their difference is off. The figures that
tiles/colour/apart.py goes by must lie near what is found.
"""

import sys
from dataclasses import replace

import numpy as np

from tests.tiles.colour.scenes import LIGHTS, as_the_camera_sees, chart_linear
from tests.tiles.colour.test_chart import GLAZES, WAYS
from tiles.colour import apart, srgb
from tiles.colour.correction import UNCORRECTED, correct, from_chart
from tiles.colour.difference import ciede2000
from tiles.colour.greycard import from_grey_card
from tiles.colour.lab import linear_to_lab, srgb_to_lab

CARD = np.full((20, 3), 0.18)
NEAR = 15.0
NEAR_ENOUGH = 1.3


def errors() -> dict[str, list[np.ndarray]]:
    """For each basis, ΔE00 of each photo's colours, and how far off the differences of near ones are."""
    true = linear_to_lab(GLAZES)
    first, second = np.triu_indices(len(true), 1)
    between = ciede2000(true[first], true[second])
    near = between < NEAR
    found: dict[str, list[np.ndarray]] = {}
    for shot in (
        replace(way, light=light, tone=tone) for way in WAYS for light in LIGHTS for tone in (0, 0.15, 0.3)
    ):
        seen, card, chart = (
            srgb.to_bytes(as_the_camera_sees(light, shot)) for light in (GLAZES, CARD, chart_linear())
        )
        whole = ~(seen >= 254).any(axis=1)
        pairs = near & whole[first] & whole[second]
        bases = {
            "uncorrected": UNCORRECTED,
            "grey_card": from_grey_card(card),
            "chart": from_chart(chart, ~(chart >= 254).any(axis=1)),
        }
        for basis, correction in bases.items():
            lab = srgb_to_lab(correct(seen, correction))
            off = ciede2000(lab[first], lab[second]) - between
            found.setdefault(basis, []).append(ciede2000(lab, true)[whole])
            found.setdefault(f"{basis}, two in one photo", []).append(np.abs(off[pairs]))
    return found


def main() -> int:
    found = {name: np.concatenate(values) for name, values in errors().items()}
    for name, values in found.items():
        print(
            f"{name}: ΔE00 {values.mean():.2f} in the mean, {np.percentile(values, 95):.2f} at the 95th percentile"
        )
    gone_by = {
        **apart.OFF,
        **{f"{name}, two in one photo": off for name, off in apart.OFF_IN_ONE_PHOTO.items()},
    }
    ratios = [off / found[name].mean() for name, off in gone_by.items()]
    return 0 if all(1 / NEAR_ENOUGH <= ratio <= NEAR_ENOUGH for ratio in ratios) else 1


if __name__ == "__main__":
    sys.exit(main())
