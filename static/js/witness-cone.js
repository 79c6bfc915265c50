// Witness cones are read by bending the drawn one: drag its tip, use the arrow keys, tap Upright or Down, or type the
// degrees. The studio's machine says what the cones of a place say together.

import { LAST_DEG, bendAt, outline, tip } from "./cone-shape.js";

const SVG = "http://www.w3.org/2000/svg";
const STEPS = { ArrowUp: -1, ArrowLeft: -1, ArrowDown: 1, ArrowRight: 1, PageUp: -10, PageDown: 10 };
const form = document.querySelector("[data-witness]");

const readBend = (box) => (/^\d{1,3}$/.test(box.value.trim()) ? Number(box.value) : null);

// The tip's handle, as large as a fingertip in a glove.
function handleFor(cone) {
  const handle = document.createElementNS(SVG, "g");
  handle.setAttribute("class", "cone-handle");
  handle.setAttribute("role", "slider");
  handle.setAttribute("tabindex", "0");
  handle.setAttribute("aria-valuemin", "0");
  handle.setAttribute("aria-valuemax", String(LAST_DEG));
  for (const [name, radius] of [["cone-reach", 23], ["cone-grip", 9]]) {
    const ring = document.createElementNS(SVG, "circle");
    ring.setAttribute("class", name);
    ring.setAttribute("r", String(radius));
    handle.append(ring);
  }
  cone.drawing.removeAttribute("aria-hidden");
  cone.drawing.append(handle);
  return handle;
}

function show(cone) {
  const bend = readBend(cone.box);
  const drawn = Math.min(bend ?? 0, LAST_DEG);
  const at = tip(drawn);
  cone.body.setAttribute("d", outline(drawn));
  cone.handle.setAttribute("transform", `translate(${at.x.toFixed(2)} ${at.y.toFixed(2)})`);
  cone.handle.setAttribute("aria-label", `Bend of cone ${cone.order.value || "not named yet"}`);
  cone.handle.setAttribute("aria-valuenow", String(drawn));
  cone.handle.setAttribute("aria-valuetext", bend === null ? "unread" : `${bend}°`);
  cone.root.classList.toggle("cone--unread", bend === null);
  cone.seen.textContent = bend === null ? "unread" : `${bend}°`;
}

function bendTo(cone, deg) {
  cone.box.value = String(Math.max(0, Math.min(LAST_DEG, Math.round(deg))));
  cone.box.dispatchEvent(new Event("input", { bubbles: true }));
}

function pointIn(drawing, event) {
  const inverse = drawing.getScreenCTM().inverse();
  return new DOMPoint(event.clientX, event.clientY).matrixTransform(inverse);
}

function bindDrag(cone) {
  const { handle, drawing } = cone;
  let grip = null;
  handle.addEventListener("pointerdown", (event) => {
    const at = tip(Math.min(readBend(cone.box) ?? 0, LAST_DEG));
    const finger = pointIn(drawing, event);
    grip = { x: at.x - finger.x, y: at.y - finger.y };
    handle.setPointerCapture(event.pointerId);
    handle.focus({ preventScroll: true });
    event.preventDefault();
  });
  handle.addEventListener("pointermove", (event) => {
    if (!grip) return;
    const finger = pointIn(drawing, event);
    bendTo(cone, bendAt(finger.x + grip.x, finger.y + grip.y));
  });
  // A finger that starts on the tip bends the cone and does not move the page, whatever the browser makes of touch-action
  // inside a drawing.
  handle.addEventListener("touchstart", (event) => event.preventDefault(), { passive: false });
  for (const end of ["pointerup", "pointercancel", "lostpointercapture"]) {
    handle.addEventListener(end, () => {
      grip = null;
    });
  }
}

function bindKeys(cone) {
  cone.handle.addEventListener("keydown", (event) => {
    const now = readBend(cone.box) ?? 0;
    const wanted = { Home: 0, End: LAST_DEG }[event.key] ?? now + (STEPS[event.key] ?? NaN);
    if (Number.isNaN(wanted)) return;
    event.preventDefault();
    bendTo(cone, wanted);
  });
}

function bindCone(root) {
  const find = (what) => root.querySelector(what);
  const cone = {
    root,
    drawing: find("[data-cone-drawing]"),
    body: find("[data-cone-body]"),
    seen: find("[data-cone-seen]"),
    box: find("[data-bend]"),
    order: find("[name$='-order']"),
  };
  cone.handle = handleFor(cone);
  bindDrag(cone);
  bindKeys(cone);
  root.addEventListener("input", () => show(cone));
  find("[data-cone-ends]").hidden = false;
  for (const button of root.querySelectorAll("[data-bend-to]")) {
    button.addEventListener("click", () => bendTo(cone, Number(button.dataset.bendTo)));
  }
  show(cone);
  return cone;
}

// Words ----------------------------------------------------------------------------------------------------------

function bindWords(set, cones) {
  const said = set.querySelector("[data-cone-said]");
  let asked = 0;
  let timer = 0;
  async function ask() {
    asked += 1;
    const mine = asked;
    const typed = new URLSearchParams();
    for (const cone of cones) {
      typed.append("order", cone.order.value);
      typed.append("bend_deg", cone.box.value);
    }
    const answer = await fetch(`${form.dataset.witness}?${typed}`).catch(() => null);
    if (mine !== asked) return;
    if (answer?.ok) said.innerHTML = await answer.text();
    else said.textContent = "What they say together is known once they are kept.";
  }
  set.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(ask, 120);
  });
}

// Cones of one place stand together: what is said of the first goes for those beside it that say nothing else.
function bindPlace(set) {
  for (const name of ["shelf", "place"]) {
    const [first, ...others] = set.querySelectorAll(`[name$='-${name}']`);
    let before = first.value;
    first.addEventListener("change", () => {
      for (const other of others) if (other.value === before) other.value = first.value;
      before = first.value;
    });
  }
}

if (form) {
  for (const set of form.querySelectorAll("[data-one-place]")) bindPlace(set);
  for (const set of form.querySelectorAll("[data-cone-set]")) {
    bindWords(set, [...set.querySelectorAll("[data-cone]")].map(bindCone));
  }
}
