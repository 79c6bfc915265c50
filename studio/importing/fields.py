"""What a column may hold, for each kind of spreadsheet, and the headings people write over it."""

import re
from dataclasses import dataclass

from studio.importing.cells import words_for
from tiles.vocabulary import FlawKind

RESULTS, GLAZES, BODIES = "results", "glazes", "bodies"
KINDS = {RESULTS: "results of fired tiles", GLAZES: "glazes", BODIES: "clay bodies"}
IGNORED = ""
# What the key of a column of one flaw begins with, before the flaw.
OF_ONE_FLAW = "flaw_"
# Columns whose cells are names: one alone in its row may be a record of which nothing else is known.
NAMING = frozenset({"name", "body", "form", "glaze", "under", "stack", "kiln"})


@dataclass(frozen=True, slots=True)
class Field:
    """What a column may hold: its key, its words, and the headings it goes by.

    of_firing : the same for all tiles of a firing, so an empty cell may mean the same as above
    ends : where a cell is a range, such as 2–3, the keys of the fields that hold its two ends
    """

    key: str
    label: str
    headings: tuple[str, ...]
    of_firing: bool = False
    ends: tuple[str, ...] = ()


RESULT_FIELDS = (
    Field("tile", "tile: its old number", (
        "tile", "tile no", "tile number", "number", "no", "id", "code", "test", "test tile", "sample"
    )),
    Field("body", "clay body", ("body", "clay", "clay body", "clay used")),
    Field("form", "tile form", ("form", "shape", "tile form", "type of tile")),
    Field("zone", "zone of the tile", ("zone", "band", "area", "part", "where", "place on tile", "side")),
    Field("stack", "layers, as Flux L x2 + Harbour x3", (
        "stack", "layers", "glazes", "combination", "combo", "glaze combo", "layering"
    )),
    Field("glaze", "glaze on top", ("glaze", "glaze name", "top glaze", "over", "top", "name of glaze")),
    Field("coats", "coats of the glaze on top", (
        "coats", "number of coats", "no of coats", "layers of top", "coats top", "top coats",
        "applications"
    )),
    Field("under", "glaze under it", ("under", "under glaze", "flux", "base", "base glaze", "bottom", "first glaze")),
    Field("under_coats", "coats of the one under it", (
        "under coats", "coats under", "flux coats", "base coats", "coats of flux"
    )),
    Field("method", "how it was put on", ("method", "application", "applied", "how applied", "put on by")),
    Field("firing", "firing: its number", (
        "firing", "firing no", "firing number", "kiln load", "load", "fire no"
    ), True),
    Field("date", "day of the firing", ("date", "fired", "fired on", "firing date", "day", "date fired"), True),
    Field("kiln", "kiln", ("kiln", "kiln used", "fired in"), True),
    Field("cone", "cone", ("cone", "target cone", "fired to", "cone fired", "temp cone", "heat"), True),
    Field("atmosphere", "atmosphere", ("atmosphere", "atmos", "ox red", "ox or red", "gas"), True),
    Field("hold", "hold", ("hold", "soak", "hold min", "hold time", "soak min", "holding time"), True),
    Field("top_temp", "hottest, into the firing’s note", (
        "peak", "peak temp", "temp", "temperature", "top temp", "max temp", "top temperature",
        "peak temperature"
    ), True),
    Field("place", "place in the kiln", ("place", "shelf", "place in kiln", "kiln position", "position")),
    Field("surface", "surface", ("surface", "finish", "sheen", "gloss matt")),
    Field("opacity", "opacity", ("opacity", "transparency", "opaque", "clear or opaque", "opaque or clear")),
    Field("run", "run", ("run", "runs", "run mm", "running", "movement", "drip", "flow")),
    Field("runs_off", "ran off the foot", ("ran off", "runs off", "ran off the foot", "off the tile")),
    Field("pooling", "pooling", ("pooling", "pools")),
    Field("breaking", "breaking over texture", ("breaking", "breaks", "break", "breaking over texture")),
    Field("gloss", "gloss at 60°, GU", ("gloss", "gloss gu", "gloss units", "gu")),
    Field("verdict", "verdict", ("verdict", "keep", "keep or not", "decision", "use")),
    Field("remark", "remark", (
        "remark", "remarks", "note", "notes", "comment", "comments", "observations", "result",
        "what it looks like"
    )),
    Field("flaws", "flaws", ("flaws", "flaw", "faults", "fault", "defects", "problems")),
    Field("photo", "photo file names: left out", (
        "photo", "photos", "picture", "pictures", "image", "images", "photo file", "file"
    )),
    # One column for each flaw, with a mark or how severe it is.
    *(
        Field(f"{OF_ONE_FLAW}{kind}", f"flaw: {kind.label}", (kind.label, *words_for(FlawKind, kind.value)))
        for kind in FlawKind
    ),
)  # fmt: skip

# What a label gives as a range and a list has in one column.
RANGES = (
    Field("cones", "cones, as 5–6", (
        "cone", "cone range", "firing cone", "firing range", "range", "matures", "maturing cone", "fires to", "fired to"
    ), ends=("cone_low_order", "cone_high_order")),
    Field("coats", "coats on the label, as 2–3", (
        "coat", "number of coats", "no of coats", "recommended coats", "coats recommended", "coat range", "layers"
    ), ends=("coats_low", "coats_high")),
)  # fmt: skip

# Further headings people write, beside the words on the page and the column's own name.
ALSO = {
    "name": ("glaze", "glaze name", "body", "clay body", "clay"),
    "kind": ("type",),
    "maker": ("manufacturer", "made by", "brand"),
    "surface": ("surface", "finish"),
    "opacity": ("opacity", "clear or opaque", "opaque or clear", "transparency"),
    "cautions": (
        "caution",
        "warning",
        "warnings",
        "label warnings",
        "warnings on the label",
        "safety",
        "what the label warns of",
        "what the jar warns of",
    ),
    "cone_low_order": ("cone from", "from cone", "lowest cone", "low cone"),
    "cone_high_order": ("cone to", "to cone", "highest cone", "high cone"),
    "coats_low": ("coats from", "fewest coats"),
    "coats_high": ("coats to", "most coats"),
    "drying_min": ("drying", "drying time"),
    "known_runner": ("runs", "runner"),
    "colour_family": ("colour", "color", "fired color"),
    "absorption_pct": ("absorption", "water absorption"),
    "shrinkage_pct": ("shrinkage",),
    "default_hold_min": ("hold", "hold min"),
    "note": ("notes", "remark", "remarks"),
}

_UNITS = {
    "f": r"°\s*f|º\s*f|\bdeg\s*f\b|fahrenheit|\bf\b",
    "c": r"°\s*c|º\s*c|\bdeg\s*c\b|celsius",
    "in": r"\bin\b|\binch(es)?\b|″",
    "cm": r"\bcm\b",
    "mm": r"\bmm\b",
    "h": r"\bh\b|\bhrs?\b|\bhours?\b",
    "min": r"\bmins?\b|\bminutes?\b",
}


def unit_in(heading: str) -> str:
    """The unit that stands behind a heading, or "".

    >>> unit_in("Peak temp (°F)"), unit_in("Run, mm"), unit_in("Fired in"), unit_in("Hold [h]")
    ('f', 'mm', '', 'h')
    """
    told = re.search(r"[(\[,/]\s*([^)\]]*?)\s*[)\]]?\s*$|(°\s*[cCfF])\s*$", heading.strip())
    words = (told[1] or told[2] or "").casefold() if told else heading.strip().casefold().rpartition(" ")[2]
    if not told and words in ("in", "f", "c", "h", "hours", "hour"):
        return ""
    return next((unit for unit, pattern in _UNITS.items() if re.fullmatch(pattern, words)), "")
