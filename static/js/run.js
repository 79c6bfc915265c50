// The run of a glaze, measured on a photo: two round marks at the coat's edge and the end of the drip, and, where the
// tile itself gives the scale, two square ones at its edges. Fingers, mouse and arrow keys move them. The length is
// shown while a mark moves; how surely it is known is asked of the studio's machine once the mark rests.

import { closeUp, tools } from "./close-up.js";

const REST_MS = 200;
const form = document.querySelector("[data-run]");
const view = document.querySelector("[data-close-up][data-led]");
const viewer = closeUp(view);
const inches = form.dataset.unit === "in";

view.after(tools(view, viewer));

// Marks ------------------------------------------------------------------------------------------------------------

const read = (text) => text.split(",").map(Number);
const lines = {
  line: { at: read(form.elements.line.value || form.dataset.line), set: form.elements.line.value !== "" },
  edge: { at: read(form.elements.edge.value || form.dataset.edge), set: form.elements.edge.value !== "" },
};
const ENDS = [
  ["line", 0, "Coat’s edge"],
  ["line", 1, "End of the drip"],
  ["edge", 0, "One edge of the tile"],
  ["edge", 1, "Other edge of the tile"],
];
const marks = ENDS.map(([name, end, label]) => makeMark(name, end, label));
const drawn = Object.fromEntries(Object.keys(lines).map((name) => [name, makeLine(name)]));
const bubble = Object.assign(document.createElement("p"), { className: "run-bubble", hidden: true });
view.append(bubble);

function makeLine(name) {
  const drawing = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  drawing.setAttribute("class", `run-line run-line--${name}`);
  drawing.setAttribute("aria-hidden", "true");
  for (const kind of ["under", "over"]) {
    const stroke = document.createElementNS("http://www.w3.org/2000/svg", "line");
    stroke.setAttribute("class", `run-line-${kind}`);
    drawing.append(stroke);
  }
  view.querySelector(".mark").before(drawing);
  return drawing;
}

function makeMark(name, end, label) {
  const mark = document.createElement("button");
  mark.type = "button";
  mark.className = `mark mark--${name}`;
  mark.setAttribute("aria-label", label);
  mark.setAttribute("aria-describedby", "run-how");
  let grip = null;
  mark.addEventListener("pointerdown", (event) => {
    event.stopPropagation();
    mark.setPointerCapture(event.pointerId);
    const at = viewer.toView(placeOf(name, end));
    grip = [event.clientX - at[0], event.clientY - at[1]];
  });
  mark.addEventListener("pointermove", (event) => {
    event.stopPropagation();
    if (grip) moveTo(name, end, [event.clientX - grip[0], event.clientY - grip[1]], event.pointerType === "touch" ? 2 : 1);
  });
  for (const ended of ["pointerup", "pointercancel"]) {
    mark.addEventListener(ended, (event) => {
      event.stopPropagation();
      grip = null;
    });
  }
  mark.addEventListener("keydown", (event) => {
    const step = event.shiftKey ? 10 : 1;
    const by = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key];
    if (!by) return;
    event.preventDefault();
    event.stopPropagation();
    const at = viewer.toView(placeOf(name, end));
    moveTo(name, end, [at[0] + by[0], at[1] + by[1]], 1);
  });
  view.append(mark);
  return { mark, name, end };
}

const placeOf = (name, end) => lines[name].at.slice(2 * end, 2 * end + 2);

function moveTo(name, end, point, hand) {
  const place = viewer.toPlace(point).map((share) => Math.max(0, Math.min(1, share)));
  lines[name].at.splice(2 * end, 2, ...place);
  lines[name].set = true;
  form.elements[name].value = lines[name].at.map((share) => share.toFixed(6)).join(",");
  form.elements.step_px.value = (viewer.stepPx() * hand).toFixed(3);
  show();
  askSoon();
}

// Lengths ----------------------------------------------------------------------------------------------------------

const scales = JSON.parse(form.dataset.scales);
const basis = () => form.elements.basis.value;
const figure = (name) => Number((form.elements[name]?.value ?? "").replace(",", ".")) * (inches ? 25.4 : 1);

function through(matrix, [x, y]) {
  const [across, down, away] = matrix.map((row) => row[0] * x + row[1] * y + row[2]);
  return [across / away, down / away];
}

function lengthBy(matrix) {
  const [one, other] = [0, 1].map((end) => through(matrix, placeOf("line", end)));
  return Math.hypot(one[0] - other[0], one[1] - other[1]);
}

function lengthPx(name) {
  const [width, height] = viewer.sizePx();
  const [x1, y1, x2, y2] = lines[name].at;
  return Math.hypot((x2 - x1) * width, (y2 - y1) * height);
}

// The run in millimetres as far as it can be told here; none while the scale is missing.
function runMm() {
  if (!lines.line.set) return null;
  if (basis() === "tile") return lines.edge.set ? (lengthPx("line") / lengthPx("edge")) * figure("edge_length") : null;
  if (!scales[basis()]) return null;
  return lengthBy(scales[basis()]) * (basis() === "code" ? figure("code_side") : 1);
}

function words(mm) {
  return inches ? `${(mm / 25.4).toFixed(2)} in` : `${mm.toFixed(1)} mm`;
}

function show() {
  const mm = runMm();
  bubble.hidden = !(mm > 0 && Number.isFinite(mm));
  if (!bubble.hidden) bubble.textContent = words(mm);
  place();
}

function place() {
  const byTile = basis() === "tile";
  for (const { mark, name, end } of marks) {
    const [x, y] = viewer.toView(placeOf(name, end));
    mark.style.translate = `${x}px ${y}px`;
    mark.hidden = name === "edge" && !byTile;
  }
  for (const [name, drawing] of Object.entries(drawn)) {
    drawing.toggleAttribute("hidden", name === "edge" && !byTile);
    const ends = [0, 1].map((end) => viewer.toView(placeOf(name, end)));
    for (const stroke of drawing.children) {
      ends.forEach(([x, y], at) => {
        stroke.setAttribute(`x${at + 1}`, x);
        stroke.setAttribute(`y${at + 1}`, y);
      });
    }
  }
  const [one, other] = [0, 1].map((end) => viewer.toView(placeOf("line", end)));
  bubble.style.translate = `${Math.max(one[0], other[0]) + 28}px ${(one[1] + other[1]) / 2}px`;
}

// How surely, and what is missing ------------------------------------------------------------------------------------

let resting = 0;
let asking = null;

function askSoon() {
  clearTimeout(resting);
  resting = setTimeout(ask, REST_MS);
}

async function ask() {
  if (!lines.line.set) return;
  asking?.abort();
  asking = new AbortController();
  const sent = new FormData(form);
  sent.delete("csrfmiddlewaretoken");
  try {
    const answer = await fetch(`${form.dataset.run}?${new URLSearchParams(sent)}`, { signal: asking.signal });
    if (answer.ok || answer.status === 422) document.getElementById("run-length").innerHTML = await answer.text();
  } catch {
    // Without network the length beside the line still stands.
  }
}

function shownFields() {
  for (const part of form.querySelectorAll("[data-basis]")) part.hidden = part.dataset.basis !== basis();
}

form.addEventListener("input", () => {
  shownFields();
  show();
  askSoon();
});
view.addEventListener("keydown", (event) => {
  if (!event.target.closest(".mark") || !event.key.startsWith("Arrow")) viewer.key(event);
});
viewer.onDraw(place);
shownFields();
show();
form.dataset.ready = "";
