"""A studio that plans a series: a new glaze, a flux, three bodies, a form of three bands, a kiln with two shelves."""

from dataclasses import dataclass
from typing import Any

import pytest
from django.urls import reverse

from tests.factories import (
    ClayBodyFactory,
    GlazeFactory,
    KilnFactory,
    ShelfFactory,
    TileFormFactory,
)
from tiles.models import ClayBody, Glaze, Series, TileForm

CONES = {"5": 28, "6": 30, "10": 34}


@dataclass
class Bench:
    """What lies ready."""

    harbour: Glaze
    flux: Glaze
    bodies: list[ClayBody]
    form: TileForm
    kiln: Any

    def typed(self, **changes: Any) -> dict[str, Any]:
        """What a person sends for the plan of a new glaze."""
        return {
            "name": "Harbour, new",
            "question": "How far may it go?",
            "glaze": [self.harbour.pk],
            "under": ["none", self.flux.pk],
            "over": ["none", self.flux.pk],
            "body": [body.pk for body in self.bodies],
            "form": [self.form.pk],
            "coats": "1 to 3",
            "cones": "5, 6, 10",
            "holds": "",
            "under_coats": "1",
            "over_coats": "1",
            "mix_steps": "4",
            "mix_batch_g": "100",
            "way": "pairs",
            "side_by_side": ["coats"],
            "rest": "same",
            "existing_counts": "on",
            "copies": "1",
            "most": "",
            "seed": "4711",
            "kiln": "",
            "bisque": "on",
            "waste_pct": "20",
            "tiles_a_day": "20",
            "days_a_firing": "2",
            **changes,
        }


@pytest.fixture
def bench(db: None) -> Bench:
    kiln = KilnFactory(name="Oriel")
    for position in (1, 2):
        ShelfFactory(kiln=kiln, position=position, width_mm=400, depth_mm=400, height_mm=150)
    bodies = [ClayBodyFactory(name=name) for name in ("Quay white", "Dune speckled", "Peat dark")]
    form = TileFormFactory(name="Three bands")
    return Bench(GlazeFactory(name="Harbour"), GlazeFactory(name="Flux L", kind="flux"), bodies, form, kiln)


@pytest.fixture
def kept(bench: Bench, recorder_client) -> Series:
    """The plan, kept and not made."""
    recorder_client.post(reverse("tiles:planner:new"), bench.typed())
    return Series.objects.get()
