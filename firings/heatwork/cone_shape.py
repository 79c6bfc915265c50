"""How a bent witness cone is drawn: a taper along an arc of a circle.

An arc that starts upright and turns by 2β has its tip seen at β from upright: at 90° it is half a circle, tip level
with the base and pointing at six o'clock. static/js/cone-shape.js draws the same; a test holds the two together.
"""

import math

# The drawing's own units: its width and height, where the cone's foot stands, its length and half-widths.
WIDTH, HEIGHT = 110, 130
FOOT_X, FOOT_Y = 36.0, 98.0
LENGTH = 82.0
HALF_FOOT, HALF_TIP = 13.0, 2.5
# A cone stands 8° off upright when it is set (published chart of end points); 90° of bend is 90° as drawn.
LEAN_DEG = 8.0
# Beyond this a cone lies on the shelf, and a drawing says nothing more.
LAST_DEG = 120
STEPS = 14


def seen_deg(bend_deg: float) -> float:
    """Where the tip is seen from the foot [° from upright].

    >>> seen_deg(0), seen_deg(90)
    (8.0, 90.0)
    """
    return LEAN_DEG + min(bend_deg, LAST_DEG) * (90 - LEAN_DEG) / 90


def _point(share: float, turn: float) -> tuple[float, float, float]:
    """A point of the middle line and its direction [rad from upright]; `turn` is that of the whole arc."""
    lean = math.radians(LEAN_DEG)
    along = share * LENGTH
    angle = lean + turn * share
    if abs(turn) < 1e-6:
        return FOOT_X + along * math.sin(lean), FOOT_Y - along * math.cos(lean), angle
    radius = LENGTH / turn
    x = FOOT_X + radius * (math.cos(lean) - math.cos(angle))
    return x, FOOT_Y - radius * (math.sin(angle) - math.sin(lean)), angle


def _turn(bend_deg: float) -> float:
    """By how much the arc turns [rad]: twice as far as its tip is seen to move."""
    return 2 * math.radians(seen_deg(bend_deg) - LEAN_DEG)


def tip(bend_deg: float) -> tuple[float, float]:
    """The middle of the tip.

    >>> tip(90)[1] == FOOT_Y or abs(tip(90)[1] - FOOT_Y) < 1e-9
    True
    """
    x, y, _ = _point(1.0, _turn(bend_deg))
    return x, y


def outline(bend_deg: float) -> str:
    """The path of the bent cone, for the `d` of an SVG path."""
    turn = _turn(bend_deg)
    left, right = [], []
    for step in range(STEPS + 1):
        share = step / STEPS
        x, y, angle = _point(share, turn)
        half = HALF_FOOT + (HALF_TIP - HALF_FOOT) * share
        across_x, across_y = half * math.cos(angle), half * math.sin(angle)
        left.append((x - across_x, y - across_y))
        right.append((x + across_x, y + across_y))
    points = [f"{x:.2f} {y:.2f}" for x, y in left + right[::-1]]
    return "M" + "L".join(points) + "Z"
