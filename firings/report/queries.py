"""A firing's report in words, from what is stored."""

from collections.abc import Sequence

from django.utils import timezone
from django.utils.formats import date_format

from firings.cones import series
from firings.curves.course import asked_course
from firings.curves.drawing import WIDE, Drawing, draw
from firings.curves.queries import course_for, curve_words, curves_of, noticed_of, segments_of
from firings.logbook.queries import cones_by_place
from firings.models import Curve, Firing
from firings.programmes.segments import Segment, Unit
from firings.programmes.words import plain, rate_words, temp_words
from firings.report.facts import Report
from firings.units import figure_words

WHEN = "D j M Y, H:i"


def _when(moment: object) -> str:
    return date_format(timezone.localtime(moment), WHEN) if moment else ""  # type: ignore[arg-type]


def _facts(firing: Firing) -> list[tuple[str, str]]:
    facts = [
        ("Target cone", firing.target_label),
        ("Atmosphere", firing.get_atmosphere_display()),
        ("Hold", f"{firing.hold_min} min" if firing.hold_min else "none"),
        ("Programme", str(firing.programme or "")),
        ("Started", _when(firing.started_at)),
        ("Switched off", _when(firing.ended_at)),
        ("Unloaded", _when(firing.unloaded_at)),
        ("Energy", f"{figure_words(firing.energy_kwh)} kWh" if firing.energy_kwh else ""),
        ("Cost", str(firing.cost if firing.cost is not None else "")),
    ]
    return [(label, value) for label, value in facts if value]


def _reached_by(firing: Firing, heat: dict[str, str]) -> str:
    if not firing.reached_words:
        return "Not known."
    said = f"by {firing.reached_source_label}"
    if heat and firing.reached_source == "curve":
        return f"{said}; {heat['range']} ({heat['basis']})"
    return said


def _heat_rows(heat: dict[str, str]) -> list[tuple[str, str]]:
    if not heat:
        return []
    return [
        ("Cone by the curve", f"{heat['cone']} when the power went off; {heat['range']} ({heat['basis']})"),
        *([("As the sensor read", f"{heat['as_logged']}, not counted")] if "as_logged" in heat else []),
        ("With cooling", f"{heat['with_cooling']}, shown apart, not counted"),
        ("Hottest", heat["peak"] + (f", held {heat['hold']}" if heat["hold"] else "")),
        ("Power off", f"{heat['off']} after the log begins"),
    ]


def _cones(firing: Firing) -> list[tuple[str, str, str]]:
    rows = []
    for place in cones_by_place(firing):
        first, number = place["first"], place["number"]
        where = " ".join(filter(None, [f"shelf {first.shelf.position}" if first.shelf else "", first.place]))
        bends = [
            f"{series.label_of(cone.order)} {'unread' if cone.bend_deg is None else f'{cone.bend_deg}°'}"
            for cone in place["cones"]
        ]
        rows.append(
            (
                where or "not noted",
                ", ".join(bends),
                series.number_words(number) if number is not None else "",
            )
        )
    return rows


def _notes(firing: Firing) -> list[tuple[str, str]]:
    """The firing's own remark, then what was seen at its time."""
    remark = [("Remark", firing.note)] if firing.note else []
    return [*remark, *((_when(note.at), note.text) for note in firing.notes.all())]


def _asked(segments: Sequence[Segment], unit: Unit) -> str:
    """60 °C/h to 600 °C; as fast as it can to 1200 °C, 10 min."""
    return "; ".join(
        f"{rate_words(one.rate_c_per_h, unit) if one.rate_c_per_h else 'as fast as it can'}"
        f" to {temp_words(one.target_c, unit)}"
        + (f", held {plain(one.hold_min)} min" if one.hold_min else "")
        for one in segments
    )


def _drawing(firing: Firing, curve: Curve | None, segments: Sequence[Segment], unit: Unit) -> Drawing | None:
    if curve:
        return draw(course_for(curve, firing), WIDE, unit)
    asked = asked_course(segments)
    return draw(asked, WIDE, unit, "programme") if asked else None


def report_of(firing: Firing, unit: Unit) -> Report:
    """All that is known of a firing, drawn by the curve that counts, else by what its programme asks for."""
    curve = next(iter(curves_of(firing)), None)
    heat = curve_words(curve, unit) if curve else {}
    segments = segments_of(firing)
    return Report(
        title=f"Firing {firing.label}",
        lead=f"{firing.get_purpose_display().capitalize()} firing in kiln {firing.kiln}",
        reached=firing.reached_words,
        reached_by=_reached_by(firing, heat),
        facts=_facts(firing),
        heat=_heat_rows(heat),
        noticed=[words.words(unit) for words in noticed_of(curve)] if curve else [],
        cones=_cones(firing),
        notes=_notes(firing),
        drawing=_drawing(firing, curve, segments, unit),
        is_logged=curve is not None,
        asked=_asked(segments, unit),
        printed=f"Printed {_when(timezone.now())}",
    )
