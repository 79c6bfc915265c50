// Asks how far stored photos have come, until each is filed or in the sorting tray: the studio's machine looks at them
// after it has stored them. One question for all, less often the longer it takes; the asker need not wait for it.

const FIRST_MS = 700;
const LONGEST_MS = 15_000;
const AT_ONCE = 100;

const waiting = new Map(); // sha256 → what to call with the state
let timer = null;
let waitMs = FIRST_MS;

// Calls `whenSettled` with { state: "filed", tile } or { state: "tray", reason } once that is known.
export function follow(address, sha256, whenSettled) {
  waiting.set(sha256, { address, whenSettled });
  waitMs = FIRST_MS;
  timer ??= setTimeout(ask, waitMs);
}

async function ask() {
  const names = [...waiting.keys()].slice(0, AT_ONCE);
  const { address } = waiting.get(names[0]);
  try {
    const answer = await fetch(`${address}?photos=${names.join(",")}`, { headers: { Accept: "application/json" } });
    if (answer.ok) settle(await answer.json());
  } catch {
    // No network: asked again later; the photos are stored.
  }
  waitMs = Math.min(LONGEST_MS, waitMs * 1.5);
  timer = waiting.size ? setTimeout(ask, waitMs) : null;
}

function settle(states) {
  for (const [sha256, state] of Object.entries(states)) {
    if (state.state === "stored") continue;
    const { whenSettled } = waiting.get(sha256) ?? {};
    waiting.delete(sha256);
    whenSettled?.(state);
  }
}
