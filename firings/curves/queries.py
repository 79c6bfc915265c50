"""What pages and prints ask of logged curves."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone
from django.utils.formats import date_format

from firings.cones import series
from firings.curves.choices import choice_from, column_names, fits_again
from firings.curves.course import Course, Witness, course_of
from firings.curves.outlook import Outlook, look
from firings.curves.reading import Choice
from firings.curves.samples import unpacked
from firings.curves.spark import Spark, spark_of
from firings.curves.summing import corrected_heat_of, heat_of
from firings.curves.text import UnreadableCurve
from firings.curves.together import middle
from firings.heatwork.limits import LAST_PART_C, atmosphere_words
from firings.logbook.queries import cones_by_place
from firings.models import Curve, Firing, Kiln
from firings.notice import Notice, apart, notice_from, rate, temp
from firings.offsets.learning import told_off_s
from firings.offsets.queries import offset_for
from firings.programmes.segments import Segment, Unit
from firings.programmes.words import clock_words, duration_words

# A log that begins so much earlier or later, or ends so many cones away from the target, is perhaps another firing's.
FAR_APART = timedelta(hours=24)
FAR_OFF = 2


def curves_of(firing: Firing) -> list[Curve]:
    """A firing's curves without their readings, the one that counts first."""
    return list(firing.curves.defer("samples"))


def segments_of(firing: Firing) -> list[Segment]:
    """The firing's programme; nothing where none is noted."""
    if firing.programme is None:
        return []
    return [
        Segment(
            float(one.rate_c_per_h) if one.rate_c_per_h else None, float(one.target_c), float(one.hold_min)
        )
        for one in firing.programme.segments.order_by("position")
    ]


def witnesses_of(firing: Firing) -> list[Witness]:
    """What the witness cones of each place say together."""
    return [
        Witness(float(place["number"]), _place_words(place["first"]))
        for place in cones_by_place(firing)
        if place["number"] is not None
    ]


def _place_words(cone: Any) -> str:
    shelf = f"shelf {cone.shelf.position}" if cone.shelf else ""
    return " ".join(filter(None, [shelf, cone.place]))


def course_for(curve: Curve, firing: Firing) -> Course:
    """All that is drawn of a firing by one of its curves."""
    times_s, columns = unpacked(bytes(curve.samples), curve.sample_count)
    names = [one["name"] for one in curve.sensors]
    counting = [one["name"] for one in curve.sensors if one["counts"]]
    sensors = dict(zip(names, columns, strict=True))
    return course_of(times_s, sensors, counting, curve.counted, segments_of(firing), witnesses_of(firing))


def sparks_of(firings: Sequence[Firing]) -> dict[int, str]:
    """The curve that counts of each of these firings as a small line, all on one scale; by the firing's key."""
    counting = Curve.objects.counting().filter(firing__in=[firing.pk for firing in firings])
    found = {curve.firing_id: _spark(curve) for curve in counting}
    sparks = {key: spark for key, spark in found.items() if spark}
    longest_h = max((float(spark.hours[-1]) for spark in sparks.values()), default=0.0)
    hottest_c = max((float(spark.temps_c.max()) for spark in sparks.values()), default=0.0)
    return {
        key: spark.svg(longest_h, hottest_c) for key, spark in sparks.items() if longest_h > 0 < hottest_c
    }


def _spark(curve: Curve) -> Spark | None:
    if not curve.samples:
        return None
    times_s, columns = unpacked(bytes(curve.samples), curve.sample_count)
    counting = [column for one, column in zip(curve.sensors, columns, strict=True) if one["counts"]]
    return spark_of(times_s, middle(counting)) if counting else None


@dataclass(frozen=True, slots=True)
class Proposal:
    """How a file is read before anybody has corrected anything, and where that comes from."""

    choice: Choice
    counts: str = ""
    words: str = ""


def proposal_for(kiln: Kiln, data: bytes) -> Proposal:
    """As the kiln's last file was read, where this one has the same columns."""
    remembered = kiln.logger_reading
    if not remembered:
        return Proposal(Choice())
    choice = choice_from(remembered.get("choice", {}))
    if not fits_again(remembered, column_names(data, choice)):
        words = f"The columns differ from those of the last file of {kiln}, so this one is read anew."
        return Proposal(Choice(), words=words)
    words = f"Read as it was confirmed for the last file of {kiln}."
    return Proposal(choice, remembered.get("counts", ""), words)


def proposed_outlook(kiln: Kiln, data: bytes) -> tuple[Outlook, str]:
    """The outlook of a new file, read as the kiln's last one where that works, and where the reading comes from.

    Raises
    ------
    UnreadableCurve : neither as the last one nor anew
    """
    proposal = proposal_for(kiln, data)
    try:
        return look(data, proposal.choice, proposal.counts), proposal.words
    except UnreadableCurve as trouble:
        if proposal.choice == Choice():
            raise
        words = f"It cannot be read as the last file of {kiln} ({trouble}); it is read anew."
        return look(data, Choice()), words


def outlook_course(outlook: Outlook, firing: Firing) -> Course:
    """What is drawn of a file that is not kept yet."""
    reading = outlook.reading
    return course_of(
        reading.times_s,
        reading.by_name(),
        outlook.counting,
        outlook.heat,
        segments_of(firing),
        witnesses_of(firing),
    )


def heat_words(heat: dict[str, Any], unit: Unit) -> dict[str, str]:
    """What heat work came to, each figure in words; empty where none could be worked out."""
    if not heat.get("interval"):
        return {}
    interval, cooling = heat["interval"], heat["with_cooling"]["number"]
    cones = {name: series.number_words(Decimal(str(interval[name]))) for name in ("value", "low", "high")}
    return {
        "cone": cones["value"],
        "range": f"{cones['low']} to {cones['high']}",
        "basis": notice_from(interval["basis"]).words(unit),
        "with_cooling": series.number_words(Decimal(str(cooling))) if cooling is not None else "",
        "peak": temp(heat["peak_c"]).words(unit),
        "hold": duration_words(heat["hold_min"] / 60) if heat["hold_min"] >= 1 else "",
        "rate": rate(heat["rate_c_per_h"]).words(unit) if heat["rate_c_per_h"] else "",
        "rate_over": Notice("Last ", apart(LAST_PART_C)).words(unit),
        "off": clock_words(heat["switched_off_h"]),
    }


def both_in_words(heat: dict[str, Any], corrected: dict[str, Any], unit: Unit) -> dict[str, str]:
    """The heat work that counts; where it was corrected, the hottest reading and the cone as logged stand beside it."""
    counted, logged = heat_words(corrected or heat, unit), heat_words(heat, unit)
    if not (counted and corrected):
        return counted
    return counted | {
        "peak": logged.get("peak", counted["peak"]),
        "as_logged": logged.get("cone", "cooler than 019"),
    }


def curve_words(curve: Curve, unit: Unit) -> dict[str, str]:
    """What a kept curve came to."""
    return both_in_words(curve.heat, curve.corrected, unit)


def outlook_heat(outlook: Outlook, firing: Firing) -> tuple[dict[str, Any], dict[str, Any]]:
    """What a file that is not kept yet will come to as a curve of this firing: as its sensor reads, and corrected."""
    told = told_off_s(firing.ended_at, aware(outlook.reading.started_at))
    corrected = corrected_heat_of(outlook.one, offset_for(firing), told_off_s=told)
    return heat_of(outlook.one, told_off_s=told), corrected


def version_held(firing: Firing, sha256: str) -> int | None:
    """The newest version in history of the curve this firing has of this very file; keeping it reads it anew."""
    held = firing.curves.filter(original_sha256=sha256).values("pk")
    newest = Curve.history.filter(id__in=held).order_by("history_id").last()
    return int(newest.history_id) if newest else None


def doubts_of(firing: Firing, sha256: str, outlook: Outlook, counted: dict[str, Any]) -> list[str]:
    """Why a file that is not kept yet may be another firing's, in sentences."""
    holding = Curve.objects.filter(original_sha256=sha256).exclude(firing=firing).select_related("firing")
    found = [f"{other.firing.label} holds this very file already." for other in holding.defer("samples")[:1]]
    begun, noted = aware(outlook.reading.started_at), firing.started_at
    if begun and noted and abs(begun - noted) > FAR_APART:
        found.append(
            f"The log begins on {_day(begun)}, {firing.label} on {_day(noted)}. If the log is right, change the start "
            "of the firing."
        )
    value = (counted.get("interval") or {}).get("value")
    if value is not None and firing.target_order:
        target = series.of_order(firing.target_order)
        if abs(Decimal(str(value)) - target.number) >= FAR_OFF:
            cone = series.number_words(Decimal(str(value)))
            found.append(
                f"The curve comes to cone {cone}, and {firing.label} was to go to cone {target.label}. Is it another "
                "firing’s log?"
            )
    return found


def _day(moment: datetime) -> str:
    return date_format(timezone.localtime(moment), "j F Y, H:i")


def noticed(by_reading: Sequence[str | list[Any]], heat: dict[str, Any]) -> list[Notice]:
    """All that was noticed at reading and summing, each once."""
    return list(dict.fromkeys(notice_from(one) for one in [*by_reading, *heat.get("warnings", [])]))


def noticed_of(curve: Curve) -> list[Notice]:
    """All that was noticed of a kept curve, and what its firing's atmosphere does to it."""
    found = noticed(curve.read_as.get("noticed", []), curve.counted)
    return [*found, *atmosphere_words(curve.firing.atmosphere)] if curve.counted.get("interval") else found


def aware(moment: datetime | None) -> datetime | None:
    """A logger's clock without a zone is the studio's own."""
    return timezone.make_aware(moment) if moment is not None and timezone.is_naive(moment) else moment
