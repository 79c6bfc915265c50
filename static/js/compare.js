// Photos side by side in step: zooming or moving one moves all. Two can be laid over one another and switched.

import { button, closeUp, tools } from "./close-up.js";

const place = document.querySelector("[data-compare]");
const print = document.querySelector("[data-print]");

if (print) {
  print.hidden = false;
  print.addEventListener("click", () => window.print());
}

if (place) compare([...place.querySelectorAll("[data-close-up]")].map(closeUp));

function compare(viewers) {
  let inStep = true;
  for (const viewer of viewers) {
    viewer.view.addEventListener("moved", (event) => {
      if (!inStep) return;
      for (const other of viewers) if (other !== viewer) other.look(event.detail);
    });
    viewer.view.addEventListener("keydown", viewer.key);
  }
  if (!viewers.length) return;
  const bar = tools(viewers[0].view, viewers[0]);
  place.append(bar);
  zones(viewers, bar);
  if (viewers.length < 2) return;

  const step = button("In step", "In step: one moves all", () => {
    inStep = !inStep;
    step.setAttribute("aria-pressed", String(inStep));
  });
  step.setAttribute("aria-pressed", "true");
  bar.append(step);
  flicker(viewers, bar);
}

// Where it is known where the zones lie, each photo can be brought to its own.
function zones(viewers, bar) {
  if (!viewers.some((viewer) => viewer.view.dataset.zone)) return;
  const swap = button("Zones", "Zones: each photo brought to its own zone", () => bring(swap.getAttribute("aria-pressed") !== "true"));
  for (const { view } of viewers) view.dataset.pictured = view.dataset.home;
  bar.append(swap);
  bring(true);

  function bring(near) {
    swap.setAttribute("aria-pressed", String(near));
    for (const viewer of viewers) {
      const { zone, pictured } = viewer.view.dataset;
      viewer.view.dataset.home = (near && zone) || pictured;
      viewer.open();
    }
  }
}

// Two photos at the same place, one over the other, switched by a key or while a button is held.
function flicker(viewers, bar) {
  const pair = [0, 1];
  let front = 0;
  const name = (at) => viewers[at].view.closest(".compare-one").querySelector("figcaption").textContent.trim().replace(/\s+/g, " ");
  const start = button("Flicker", "Flicker: two over one another", () => turn(!isOn()));
  start.setAttribute("aria-pressed", "false");
  const controls = document.createElement("div");
  controls.className = "compare-flicker";
  controls.hidden = true;
  const choices = pair.map((_, end) => choice(end));
  const flip = button("Switch", "Switch to the other; the space bar does it too", () => {});
  const said = document.createElement("output");
  controls.append(choices[0], flip, choices[1], said);
  bar.append(start);
  bar.after(controls);

  const isOn = () => place.dataset.flicker !== undefined;

  function choice(end) {
    const select = document.createElement("select");
    select.setAttribute("aria-label", end ? "Second photo" : "First photo");
    viewers.forEach((_, at) => select.add(new Option(name(at), String(at), at === pair[end], at === pair[end])));
    select.addEventListener("change", () => {
      pair[end] = Number(select.value);
      show();
    });
    return select;
  }

  function show() {
    viewers.forEach((viewer, at) => {
      const one = viewer.view.closest(".compare-one");
      one.toggleAttribute("data-pair", pair.includes(at));
      one.toggleAttribute("data-front", at === pair[front]);
    });
    said.textContent = isOn() ? `in front: ${name(pair[front])}` : "";
  }

  function turn(on) {
    if (on) place.dataset.flicker = "";
    else delete place.dataset.flicker;
    start.setAttribute("aria-pressed", String(on));
    controls.hidden = !on;
    front = 0;
    show();
    if (on) flip.focus({ preventScroll: true });
  }

  function to(next) {
    front = next;
    show();
  }

  // A short press switches; a long one shows the other while it lasts.
  let pressed = 0;
  flip.addEventListener("pointerdown", (event) => {
    flip.setPointerCapture(event.pointerId);
    pressed = event.timeStamp;
    to(1 - front);
  });
  flip.addEventListener("pointerup", (event) => {
    if (event.timeStamp - pressed > 400) to(1 - front);
  });
  flip.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.repeat) return;
    event.preventDefault();
    to(1 - front);
  });
  document.addEventListener("keydown", (event) => {
    if (!isOn() || event.key !== " " || event.repeat || event.target.closest?.("select, input, a, summary")) return;
    const other = event.target.closest?.("button");
    if (other && other !== flip) return;
    event.preventDefault();
    to(1 - front);
  });
  flip.addEventListener("keyup", (event) => event.key === " " && event.preventDefault());
}
