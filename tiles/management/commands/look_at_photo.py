"""What taking in a photo would find in it, without taking it in."""

import json
import sys
from argparse import ArgumentTypeError
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any, BinaryIO

from django.conf import settings
from django.core.management.base import BaseCommand, CommandParser
from django.db import DatabaseError

from tiles import numbers
from tiles.colour.placing import Face, Place, face_on_mat, is_in_view, zone_on
from tiles.colour.regions import AreaColour
from tiles.colour.scene import Scene, scene_of
from tiles.models import FormZone, Tile
from tiles.photos import renditions
from tiles.photos.accept import BOUNDS, Bounds, Refusal, accept
from tiles.photos.look import COLOURS_PX, Look, look_at
from tiles.photos.look_words import said_of
from tiles.photos.mat import SeenMat
from tiles.vocabulary import Face as Side


def found_in(place: Path, printed_scale: float, side: str) -> dict[str, Any]:
    """What intake would say of one file, as plain values; a file that cannot be opened is refused as well."""
    try:
        with place.open("rb") as file:
            return {"file": str(place), **_looked_at(file, printed_scale, side)}
    except OSError as trouble:
        return {"file": str(place), **_refused(f"This file cannot be opened: {trouble.strerror or trouble}.")}


def _refused(reason: str) -> dict[str, Any]:
    nothing = {"found": False, "reason": reason}
    return {
        "accepted": False,
        "reason": reason,
        "width": None,
        "height": None,
        "codes": [],
        "mat": nothing,
        "chart": nothing,
        "grey_card": nothing,
        "light": None,
        "advice": [],
        "lab": {},
        "lab_reason": reason,
        "words": [],
    }


def _looked_at(file: BinaryIO, printed_scale: float, side: str) -> dict[str, Any]:
    accepted = accept(file, Bounds(most_bytes=min(settings.PHOTO_MAX_BYTES, BOUNDS.most_bytes)))
    if isinstance(accepted, Refusal):
        return _refused(accepted.reason)
    look = look_at(file, printed_scale=printed_scale)
    plain = look.as_json()
    del plain["version"]
    for code in plain["codes"]:
        code["number"] = numbers.write(code["number"])
    lab, why_not = _colours(file, look, side)
    words = [list(pair) for pair in said_of(look)]
    return {"accepted": True, "reason": "", **plain, "lab": lab, "lab_reason": why_not, "words": words}


def _colours(file: BinaryIO, look: Look, side: str) -> tuple[dict[str, Any], str]:
    """The colour of each zone by its name, or why there is none."""
    if not isinstance(look.mat, SeenMat):
        return {}, "Without the photo mat in view it is not known where the tile lies."
    if len(look.codes) != 1:
        count = len(look.codes) or "no"
        return {}, f"There are {count} tile codes in view, and one is needed to know the tile in the mark."
    tile = _tile_of(look.codes[0].number)
    if tile is None:
        return {}, "This studio has no tile of this number, so its zones are not known."
    zones = list(tile.form.zones.filter(face=side))
    scene = scene_of(renditions.upright(file, COLOURS_PX), look)
    face = Face(tile.form.width_mm, tile.form.height_mm, tile.form.thickness_mm)
    return {zone.name: _colour_of(zone, scene, look.mat, face) for zone in zones}, ""


def _tile_of(number: int) -> Tile | None:
    """This studio's tile of a number; none where there is no database yet, as photos can be tried before."""
    with suppress(DatabaseError):
        return Tile.objects.select_related("form").filter(number=number).first()
    return None


def _colour_of(zone: FormZone, scene: Scene, mat: SeenMat, face: Face) -> dict[str, Any]:
    """One zone's L*a*b* with all that it rests on, or the reason there is none."""
    lengths = (zone.x_mm, zone.y_mm, zone.width_mm, zone.height_mm)
    corners = zone_on(face_on_mat(mat, face), face, Place(*map(float, lengths)))
    if not is_in_view(corners):
        return {"found": False, "reason": "This zone is not in view."}
    try:
        return {"found": True, **_plain(scene.read(corners)), "corners": [list(corner) for corner in corners]}
    except ValueError as trouble:
        return {"found": False, "reason": str(trouble)}


def _plain(colour: AreaColour) -> dict[str, Any]:
    return {
        "lab": list(colour.lab),
        "illuminant": colour.illuminant.value,
        "basis": colour.basis.value,
        "residual": colour.uncertainty,
        "spread": list(colour.spread),
        "clipped": colour.clipped_share,
        "highlights": colour.highlight_share,
        "speckles": colour.speckle_share,
        "colours": [[*main.lab, main.share] for main in colour.mains],
        "pixels": colour.n,
    }


def in_words(found: dict[str, Any]) -> Iterator[str]:
    """What a person reads of one file."""
    if not found["accepted"]:
        yield f"{found['file']}: refused. {found['reason']}"
        return
    yield f"{found['file']}: accepted, {found['width']} × {found['height']} px upright"
    yield from (f"  {name}: {words}" for name, words in found["words"])
    yield from (f"  {name}: {_lab_words(colour)}" for name, colour in found["lab"].items())
    if found["lab_reason"]:
        yield f"  No colour by zone: {found['lab_reason']}"
    yield from (f"  To do better: {sentence}" for sentence in found["advice"])


def _lab_words(colour: dict[str, Any]) -> str:
    if not colour["found"]:
        return str(colour["reason"])
    lightness, a, b = colour["lab"]
    return f"L* {lightness:.1f} a* {a:.1f} b* {b:.1f} under {colour['illuminant']}, {colour['basis']}"


class Command(BaseCommand):
    help = (
        "Say what taking in each photo would find: codes, mat, chart, light, colours. Stores nothing. "
        "Ends with 0 when all are accepted, 1 when any is refused, 2 when called wrongly."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("files", nargs="+", type=Path, metavar="FILE")
        parser.add_argument(
            "--json", action="store_true", help="one array with an object for each file, in order"
        )
        parser.add_argument(
            "--printed-scale",
            type=_scale,
            default=1.0,
            metavar="SHARE",
            help="what the mat’s 50 mm square measures on paper, divided by 50",
        )
        sides = [side.value for side in Side]
        parser.add_argument("--side", choices=sides, default=sides[0], help="which side of the tile lies up")

    def handle(self, *args: Any, **options: Any) -> None:
        found = []
        for place in options["files"]:
            found.append(found_in(place, options["printed_scale"], options["side"]))
            if not options["json"]:
                self.stdout.write("\n".join(in_words(found[-1])))
        if options["json"]:
            self.stdout.write(json.dumps(found, ensure_ascii=False, indent=1))
        if not all(one["accepted"] for one in found):
            sys.exit(1)


def _scale(text: str) -> float:
    """What a printer did to lengths: near 1, as it misses by a few parts in a hundred."""
    with suppress(ValueError):
        scale = float(text.replace(",", "."))
        if 0.8 <= scale <= 1.25:
            return scale
    raise ArgumentTypeError(
        f"{text!r} is no printed scale; write the square’s length divided by 50, such as 0.99"
    )
