// How a bent witness cone is drawn: a taper along an arc of a circle. firings/heatwork/cone_shape.py draws the same
// and says why; a test holds the two together.

const FOOT = { x: 36, y: 98 };
const LENGTH = 82;
const HALF_FOOT = 13;
const HALF_TIP = 2.5;
const LEAN_DEG = 8;
const STEPS = 14;
export const LAST_DEG = 120;

const radians = (deg) => (deg * Math.PI) / 180;

function turnOf(bendDeg) {
  return 2 * radians((Math.min(bendDeg, LAST_DEG) * (90 - LEAN_DEG)) / 90);
}

function pointAt(share, turn) {
  const lean = radians(LEAN_DEG);
  const angle = lean + turn * share;
  if (Math.abs(turn) < 1e-6) {
    const along = share * LENGTH;
    return { x: FOOT.x + along * Math.sin(lean), y: FOOT.y - along * Math.cos(lean), angle };
  }
  const radius = LENGTH / turn;
  return {
    x: FOOT.x + radius * (Math.cos(lean) - Math.cos(angle)),
    y: FOOT.y - radius * (Math.sin(angle) - Math.sin(lean)),
    angle,
  };
}

export function tip(bendDeg) {
  return pointAt(1, turnOf(bendDeg));
}

export function outline(bendDeg) {
  const turn = turnOf(bendDeg);
  const left = [];
  const right = [];
  for (let step = 0; step <= STEPS; step += 1) {
    const share = step / STEPS;
    const { x, y, angle } = pointAt(share, turn);
    const half = HALF_FOOT + (HALF_TIP - HALF_FOOT) * share;
    const acrossX = half * Math.cos(angle);
    const acrossY = half * Math.sin(angle);
    left.push(`${(x - acrossX).toFixed(2)} ${(y - acrossY).toFixed(2)}`);
    right.push(`${(x + acrossX).toFixed(2)} ${(y + acrossY).toFixed(2)}`);
  }
  return `M${[...left, ...right.reverse()].join("L")}Z`;
}

// The bend that brings the tip nearest to where a finger points, in whole degrees: the tip follows the finger.
export function bendAt(x, y) {
  let nearest = 0;
  let least = Infinity;
  for (let deg = 0; deg <= LAST_DEG; deg += 1) {
    const at = tip(deg);
    const away = (at.x - x) ** 2 + (at.y - y) ** 2;
    if (away < least) {
      least = away;
      nearest = deg;
    }
  }
  return nearest;
}
