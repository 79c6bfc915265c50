// The clocks of a glazing session. The studio's machine knows when each coat is dry; here the minutes are counted down, and
// the page is asked anew once one is dry or when the phone was asleep, unless somebody is typing in it.

const ASLEEP_MS = 30_000;
const MINUTE_MS = 60_000;
const find = () => document.querySelector("[data-glazing]");
let tickedAt = Date.now();
let awake = null;

// How far this phone's clock is ahead of the studio's machine.
let aheadMs = 0;
const setClock = () => {
  const session = find();
  if (!session) return;
  aheadMs = Date.now() - Date.parse(session.dataset.now);
  setBoxes(session);
};

const words = (ms) => {
  const minutes = Math.ceil(ms / MINUTE_MS);
  if (ms <= 0) return ", dry now";
  return ms < MINUTE_MS ? `, in ${Math.ceil(ms / 1000)} s` : `, in ${minutes} min`;
};

// Boxes hold what they held when the page came, unless somebody is typing.
const standing = (box) => (box.options ? box.dataset.first : box.defaultValue);
const isTyping = (session) => [...session.querySelectorAll("input:not([type=hidden]), select")].some((box) => box.value !== standing(box));
const setBoxes = (session) => {
  for (const box of session.querySelectorAll("select")) box.dataset.first = box.value;
};

// The tile in somebody's hands stays on the page, so that a tap is never for another one: the address names it.
function askAnew(session) {
  if (navigator.onLine && !isTyping(session)) window.htmx.ajax("GET", session.dataset.here, { target: "#glazing", swap: "outerHTML" });
}

function tick() {
  const session = find();
  if (!session) return;
  const now = Date.now() - aheadMs;
  const slept = Date.now() - tickedAt > ASLEEP_MS;
  tickedAt = Date.now();
  let becameDry = false;
  for (const time of session.querySelectorAll("[data-ready-at]")) {
    const left = Date.parse(time.dataset.readyAt) - now;
    const clock = time.parentElement.querySelector("[data-clock]");
    const said = words(left);
    if (clock.textContent !== said) clock.textContent = said;
    if (left <= 0 && !time.dataset.dry) {
      time.dataset.dry = "yes";
      becameDry = true;
    }
  }
  if (becameDry || slept) askAnew(session);
}

// A phone on the bench stays lit while there is something to glaze, where it can.
async function stayAwake() {
  if (awake || document.hidden || !navigator.wakeLock || !find()?.querySelector("[data-lay]")) return;
  try {
    awake = await navigator.wakeLock.request("screen");
    awake.addEventListener("release", () => {
      awake = null;
    });
  } catch {
    awake = null; // a phone that is low on charge says no; nothing depends on it
  }
}

document.addEventListener("htmx:afterSettle", () => {
  setClock();
  tick();
});
document.addEventListener("visibilitychange", () => {
  if (!document.hidden) {
    tick();
    stayAwake();
  }
});
setClock();
tick();
stayAwake();
setInterval(tick, 1000);
