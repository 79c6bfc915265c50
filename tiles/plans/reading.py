"""What lies on a zone and how it is fired, read as a combination of a plan."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tiles.plans.sketch import NONE, Sketch


@dataclass(frozen=True, slots=True)
class Laid:
    """A layer as a plan asks for it: coats, or the whole seconds of a dip; None where it is neither."""

    glaze: str
    coats: int | None
    method: str
    lot: str


class Reading:
    """Reads what lies on a zone as a combination of the plan."""

    def __init__(self, sketch: Sketch, level_of: Mapping[str, str]) -> None:
        self.sketch, self.level_of = sketch, level_of
        self.under = set(sketch.levels.get("under", (NONE,)))
        self.over = set(sketch.levels.get("over", (NONE,)))
        forms = sketch.levels.get("form", ())
        # Where the form does not vary it is a means, not a condition: other forms count.
        self.form = forms[0] if len(forms) == 1 else None

    @property
    def most_layers(self) -> int:
        """What has more layers is no combination of the plan: one lies under the glaze and one over it at most."""
        return 1 + bool(self.under - {NONE}) + bool(self.over - {NONE})

    def combination(self, stack: Sequence[Laid], facts: Mapping[str, str]) -> dict[str, str] | None:
        for place, layer in enumerate(stack):
            below, above = stack[:place], stack[place + 1 :]
            if layer.glaze in self.level_of and layer.coats and len(below) < 2 and len(above) < 2:
                under = self._other(below, self.under, self.sketch.under_coats)
                over = self._other(above, self.over, self.sketch.over_coats)
                if under and over:
                    form = {"form": self.form} if self.form else {}
                    return {
                        "glaze": self.level_of[layer.glaze],
                        "under": under,
                        "over": over,
                        "coats": str(layer.coats),
                        "method": layer.method,
                        "lot": self._lot(layer),
                        **facts,
                        **form,
                    }
        return None

    def _other(self, layers: Sequence[Laid], levels: set[str], coats: int) -> str:
        if not layers:
            return NONE if NONE in levels else ""
        return layers[0].glaze if layers[0].glaze in levels and layers[0].coats == coats else ""

    def _lot(self, layer: Laid) -> str:
        return layer.lot if layer.lot in self.sketch.levels.get("lot", ()) else NONE


def read_combination(
    body: int, form: int, cone: int | None, atmosphere: str, hold: int | None
) -> dict[str, str]:
    """What a zone is on and how it is fired, as levels of a plan."""
    return {
        "body": str(body),
        "form": str(form),
        "cone": str(cone or ""),
        "atmosphere": atmosphere,
        "hold": "" if hold is None else str(hold),
    }
