"""The published rule of thumb for holds, as one smooth curve.

A public firing guide quoting the cone maker: about 20 minutes at the top are worth 10 °C (18 °F) of peak, 40 to 60
minutes 20 °C, two hours 30 °C. ΔT = s·ln(1 + t/τ) with s = 17.2 °C and τ = 25.3 min goes through the first and the last
and gives 20 °C at 56 minutes. The rule names neither cone nor rate, so none enters here. The table's model agrees
with it at 06 and 04 and counts a hold for more at cones 5 to 10, so both are shown, as a band.
"""

import math

# Solved from ΔT(20 min) = 10 °C and ΔT(120 min) = 30 °C: with u = 20/τ, (1 + u)³ = 1 + 6u.
TAU_MIN = 40 / (math.sqrt(21) - 3)
SCALE_C = 10 / math.log(1 + 20 / TAU_MIN)

# The rule's last figure; longer holds go on along the curve.
LONGEST_RULED_MIN = 120.0


def degrees_of_hold(minutes: float) -> float:
    """Degrees of peak [°C] that a hold of so many minutes is worth by the rule.

    >>> [round(degrees_of_hold(minutes), 1) for minutes in (0, 20, 56, 120)]
    [0.0, 10.0, 20.0, 30.0]
    """
    return SCALE_C * math.log1p(minutes / TAU_MIN)


def hold_of_degrees(degrees_c: float) -> float:
    """Minutes of hold that stand for so many degrees of peak [°C] by the rule; none for nothing.

    >>> round(hold_of_degrees(10.0))
    20
    """
    return TAU_MIN * math.expm1(max(degrees_c, 0.0) / SCALE_C)
