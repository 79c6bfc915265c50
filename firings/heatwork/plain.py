"""Heat work as plain values, for scripts."""

from typing import Any

from firings.estimate import Estimate
from firings.heatwork.equivalent import Equivalent
from firings.heatwork.ladder import Step
from firings.heatwork.predict import Prediction


def plain_step(step: Step) -> dict[str, Any]:
    return {
        "cone": step.cone.label if step.cone else None,
        "toward_next": round(step.toward_next, 3),
        "number": None if step.number is None else round(step.number, 3),
    }


def plain_estimate(estimate: Estimate | None, digits: int) -> dict[str, Any] | None:
    if estimate is None:
        return None
    return {
        "value": round(estimate.value, digits),
        "low": round(estimate.low, digits),
        "high": round(estimate.high, digits),
        "basis": estimate.basis,
    }


def plain_equivalent(found: Equivalent) -> dict[str, Any]:
    """What a firing amounts to; temperatures in °C, `rate_c_per_h` over the last 100 °C of the rise."""
    return {
        **plain_step(found.at_off),
        "interval": plain_estimate(found.number, 2),
        "with_cooling": plain_step(found.with_cooling),
        "peak_c": round(found.peak_c, 1),
        "hold_min": round(found.held_min, 1),
        "rate_c_per_h": None if found.rate_c_per_h is None else round(found.rate_c_per_h, 1),
        "switched_off_h": round(found.switched_off_s / 3600, 3),
    }


def plain_prediction(found: Prediction) -> dict[str, Any]:
    """What a programme will do; energy in kWh, cost in the money of its price."""
    return {
        **plain_equivalent(found.equivalent),
        "duration_h": round(found.duration_h, 3),
        "energy_kwh": plain_estimate(found.energy_kwh, 1),
        "cost": plain_estimate(found.cost, 2),
        "warnings": list(found.warnings),
    }
