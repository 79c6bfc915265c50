"""Keep curves' heat work true to what it rests on: readings, time of switching off, the kiln's own correction."""

from collections.abc import Sequence
from typing import Any

from firings.curves.summing import corrected_heat_of, heat_of, one_of, plain_correction
from firings.curves.text import UnreadableCurve
from firings.heatwork.correction import KilnOffset
from firings.models import Curve, Firing, User
from firings.notice import notice_from
from firings.offsets.learning import Footing, Moment, Pair, offset_before, told_off_s
from firings.offsets.queries import curves_in_time, footings, offset_for, pairs_of

FIGURES = ("heat", "corrected", "read_as")


def write_heat(curve: Curve, firing: Firing, offset: KilnOffset | None) -> bool:
    """Sum a curve's readings and set its figures, unsaved; whether any changed.

    Where the readings kept are damaged the figures stay as they are, so that nobody's work is held up by it.
    """
    before = {name: getattr(curve, name) for name in FIGURES}
    told = told_off_s(firing.ended_at, curve.started_at)
    try:
        one = one_of(bytes(curve.samples), curve.sample_count, curve.sensors)
    except UnreadableCurve:
        return False
    curve.heat = heat_of(one, told_off_s=told)
    curve.corrected = corrected_heat_of(one, offset, told_off_s=told)
    if "noticed" not in curve.read_as:
        curve.read_as = curve.read_as | {"noticed": _told_by_reading(before["heat"], curve.heat)}
    return before != {name: getattr(curve, name) for name in FIGURES}


def _told_by_reading(before: dict[str, Any], now: dict[str, Any]) -> list[Any]:
    """Of warnings that were once kept in one list, those that summing does not bring forth."""
    summed = {str(notice_from(one)) for one in now.get("warnings", [])}
    return [one for one in before.get("warnings", []) if str(notice_from(one)) not in summed]


def fit_curves(firing: Firing, *, by: User = None) -> None:
    """Make a firing's own curves true to it, be it saved or not; before its reached cone is settled."""
    curves = list(firing.curves.defer("samples"))
    offset = offset_for(firing) if curves else None
    for curve in curves:
        told = told_off_s(firing.ended_at, curve.started_at)
        kept = curve.heat.get("told_off_s"), curve.corrected.get("correction")
        if kept != (told, plain_correction(offset)) and write_heat(curve, firing, offset):
            save_heat(curve, by=by)


def fit_kiln(kiln_id: int, since: Moment, *, by: User = None) -> list[int]:
    """Make the curves of a kiln's later firings true to what earlier ones show; the firings whose figures changed."""
    pairs = pairs_of(kiln_id)
    later = [one for one in footings(curves_in_time(kiln_id)) if one.moment.order > since.order]
    changed = [one.moment.firing_id for one in later if not one.is_true(pairs) and _fit(one, pairs, by)]
    return list(dict.fromkeys(changed))


def _fit(footing: Footing, pairs: Sequence[Pair], by: User) -> bool:
    curve = Curve.objects.select_related("firing").get(pk=footing.curve_id)
    changed = write_heat(curve, curve.firing, offset_before(pairs, footing.moment))
    if changed:
        save_heat(curve, by=by)
    return changed


def save_heat(curve: Curve, *, by: User = None) -> None:
    """Keep a curve's figures."""
    curve._history_user = by  # type: ignore[attr-defined]
    curve.save(update_fields=FIGURES)
