"""From what a tile went through to the picture of one of its faces."""

from dataclasses import dataclass

from studio.demo import behaviour, mishaps
from studio.demo.behaviour import Fired
from studio.demo.catalogue import Body, Form
from studio.demo.fired_colour import coat_picture
from studio.demo.judging import blush
from studio.demo.picture import FlawPicture, Relief, TilePicture, ZonePicture

FLAW_AMOUNTS = {"slight": 0.3, "marked": 0.6, "severe": 0.95}
OVERLAP_MM = 0.4  # neighbouring bands are brushed a little over each other


@dataclass(frozen=True, slots=True)
class Sitter:
    """A tile before the camera: its fired zones by name, what is scratched and pressed into it, which shot it is."""

    form: Form
    body: Body
    atmosphere: str
    zones: dict[str, Fired]
    number: str
    relief: Relief
    seed: int
    shot: int


def tile_picture(sitter: Sitter, face: str) -> TilePicture:
    """One face of a tile as it is to be drawn."""
    form, body = sitter.form, sitter.body
    shown = [zone for zone in form.zones if zone.face == face]
    return TilePicture(
        form.width_mm,
        form.height_mm,
        body.rgb(sitter.atmosphere),
        tuple(
            zone_picture(sitter.zones[zone.name], sitter.relief)
            for zone in shown
            if zone.name in sitter.zones
        ),
        sitter.seed * 2 + (face == "back"),
        sitter.shot,
        sitter.number,
        form.hole_mm,
        form.foot_mm if face == "front" else 0.0,
        body.speckled,
        body.grog,
        blush(body, sitter.atmosphere),
    )


def zone_picture(fired: Fired, relief: Relief) -> ZonePicture:
    """One zone as it is to be drawn."""
    zone, run = fired.zone, behaviour.run_mm(fired)
    meeting = len({layer.recipe.name for layer in fired.glass}) > 1
    side = OVERLAP_MM if zone.kind == "band" else 0.0
    return ZonePicture(
        zone.x_mm - side,
        zone.y_mm,
        zone.width_mm + 2 * side,
        zone.height_mm + (OVERLAP_MM if zone.kind == "band" else 0.0),
        tuple(coat_picture(fired, layer) for layer in fired.layers),
        relief if zone.textured else "",
        behaviour.surface_word(behaviour.shine(fired)),  # type: ignore[arg-type]
        min(run, fired.room_mm + 3),
        behaviour.pooling(fired),
        behaviour.breaking(fired),
        min(0.5 * fired.flux_coats + run / 16 + 0.15 * meeting, 1.0),
        (0.35 + 0.35 * min(max(behaviour.ripeness(fired), 0), 1)) if fired.body.speckled else 0.0,
        flaw_pictures(fired),
        fired.layers[-1].method if fired.layers else "brush",
    )


def flaw_pictures(fired: Fired) -> tuple[FlawPicture, ...]:
    """The flaws of a zone in three sizes, crawling last so that nothing is drawn on its bare clay."""
    words = {kind: mishaps.severity_word(much) for kind, much in mishaps.flaw_amounts(fired).items()}
    ordered = sorted(words, key=lambda kind: kind == "crawling")
    return tuple(FlawPicture(kind, FLAW_AMOUNTS[words[kind]]) for kind in ordered)
