// The coat grid as one types: drawings that follow, layers added, moved and taken out without leaving the page, arrow
// keys between cells, steppers on a phone, lots of the chosen glaze. Without scripts the same buttons ask the server.

import { drawColumn, drawPatch, edgeOf, readAmount, stepHeight } from "./section.js";

const form = document.querySelector("[data-coat-grid]");
const facts = JSON.parse(document.getElementById("drawing-facts").textContent);
const NEW_SWATCH = "#b9b2a3";
const NO_CLAY = { name: "no body chosen", swatch: "#d8d2c4", speckled: false };

const all = (selector, within = form) => [...within.querySelectorAll(selector)];
const layers = () => all("tbody[data-layer]");
const layerOf = (element) => element.closest("tbody[data-layer]");
const cellsOf = (layer) => all("[data-coats]", layer);
const methodOf = (layer) => layer.querySelector("[data-method]").value;

function glazeOf(layer) {
  const select = layer.querySelector("[data-glaze]");
  if (!select.value) return null;
  const known = facts.glazes[select.value];
  return known ?? { name: select.selectedOptions[0].text, swatch: NEW_SWATCH, coats: "" };
}

const clay = () => facts.bodies[form.elements.body.value] ?? NO_CLAY;

// Drawing ------------------------------------------------------------------------------------------------------------

// The layers on a zone, bottom to top, as far as they read.
function stackOn(zone) {
  return layers()
    .reverse()
    .flatMap((layer) => {
      const cell = cellsOf(layer).find((input) => input.dataset.coats === zone);
      const method = methodOf(layer);
      const amount = cell && readAmount(cell.value, method);
      const glaze = glazeOf(layer);
      return amount && glaze ? [{ glaze: glaze.name, swatch: glaze.swatch, method, amount }] : [];
    });
}

function drawClay(body) {
  for (const shape of all("[data-clay]")) shape.setAttribute("fill", body.swatch);
  for (const cut of all("svg[data-column] [data-clay]")) cut.setAttribute("stroke", edgeOf(body.swatch));
  for (const swatch of all("[data-clay-swatch]")) swatch.setAttribute("fill", body.swatch);
  for (const name of all("[data-clay-name]")) name.textContent = body.name;
  for (const specks of all("[data-specks]")) specks.setAttribute("visibility", body.speckled ? "visible" : "hidden");
}

function draw() {
  const body = clay();
  drawClay(body);
  const columns = all("svg[data-column]");
  const stacks = columns.map((svg) => stackOn(svg.dataset.column));
  const step = stepHeight(stacks);
  for (const [index, svg] of columns.entries()) drawColumn(svg, stacks[index], step);
  for (const patch of all("[data-patch]")) drawPatch(patch, stackOn(patch.dataset.patch), body.swatch);
}

let isDrawing = false;
function redraw() {
  if (isDrawing) return;
  isDrawing = true;
  requestAnimationFrame(() => {
    isDrawing = false;
    draw();
  });
}

// One layer ----------------------------------------------------------------------------------------------------------

function showGlaze(layer) {
  const glaze = glazeOf(layer);
  layer.querySelector("[data-swatch]").setAttribute("fill", glaze?.swatch ?? "none");
  layer.querySelector("[data-label-coats]").textContent = glaze?.coats ? `label: ${glaze.coats}` : "";
}

// The lots of the chosen glaze, the one used last chosen for it.
function showLots(layer) {
  const { value: glaze } = layer.querySelector("[data-glaze]");
  const select = layer.querySelector("[data-lot]");
  const before = select.value;
  const lots = facts.lots[glaze] ?? [];
  select.replaceChildren(new Option("none", ""), ...lots.map(([pk, lot]) => new Option(lot, pk)));
  const kept = lots.some(([pk]) => pk === before) ? before : String(facts.last_lots[glaze] ?? "");
  select.value = lots.some(([pk]) => pk === kept) ? kept : "";
  const add = layer.querySelector("[data-lot-add]");
  add.href = `${add.href.split("?")[0]}?glaze=${glaze}`;
  showGravity(layer);
}

function showGravity(layer) {
  const lots = facts.lots[layer.querySelector("[data-glaze]").value] ?? [];
  const lot = lots.find(([pk]) => pk === layer.querySelector("[data-lot]").value);
  layer.querySelector("[data-gravity]").placeholder = lot?.[2] ?? "";
}

function showUnit(layer) {
  const unit = methodOf(layer) === "dip" ? "s" : "";
  for (const place of all(".coatgrid-unit", layer)) place.textContent = unit;
}

// Says what does not read, once a cell is left.
function judgeCell(input) {
  const isWrong = input.value.trim() !== "" && !readAmount(input.value, methodOf(layerOf(input)));
  input.toggleAttribute("aria-invalid", false);
  if (isWrong) input.setAttribute("aria-invalid", "true");
}

// Layers that may vary, by their glazes.
function nameLayers() {
  const choice = form.querySelector("[data-layer-choice]");
  if (!choice) return;
  const chosen = choice.value;
  const named = layers().map((layer, index, every) => [layer.dataset.layer, glazeOf(layer)?.name ?? `layer ${every.length - index}`]);
  choice.replaceChildren(...named.map(([key, name]) => new Option(name, key)));
  if (named.some(([key]) => key === chosen)) choice.value = chosen;
}

function changed() {
  nameLayers();
  redraw();
  form.dispatchEvent(new CustomEvent("grid-changed", { bubbles: true }));
}

// Layers added, moved, taken out -------------------------------------------------------------------------------------

function freeKey() {
  const taken = new Set(layers().map((layer) => layer.dataset.layer));
  let count = 1;
  while (taken.has(`n${count}`)) count += 1;
  return `n${count}`;
}

// A new layer lies on top, put on as the one below it was.
function addLayer() {
  const blank = form.querySelector("[data-layer-template]").content.firstElementChild;
  const key = freeKey();
  const layer = blank.cloneNode(true);
  layer.dataset.layer = key;
  for (const field of all("[name], [id], [for]", layer)) {
    for (const name of ["name", "id", "for"]) {
      const value = field.getAttribute(name);
      if (value) field.setAttribute(name, value.replace(/^([a-z]+)-new(?=-|$)/, `$1-${key}`));
    }
  }
  layer.querySelector("[name=layer]").value = key;
  for (const button of all("[name=do]", layer)) button.value = button.value.replace(/new$/, key);
  const below = layers()[0];
  (below ?? form.querySelector(".coatgrid tfoot")).before(layer);
  for (const part of below ? ["[data-method]", "[data-tool]"] : []) {
    layer.querySelector(part).value = below.querySelector(part).value;
  }
  prepare(layer);
  showUnit(layer);
  layer.querySelector("[data-glaze]").focus();
  changed();
}

function removeLayer(layer) {
  const next = layer.nextElementSibling;
  layer.remove();
  (next?.querySelector("[data-glaze]") ?? form.querySelector(".coatgrid-add")).focus();
  changed();
}

function moveLayer(layer, step) {
  const other = step > 0 ? layer.previousElementSibling : layer.nextElementSibling;
  if (!other?.matches("tbody[data-layer]")) return;
  const focused = document.activeElement;
  if (step > 0) other.before(layer);
  else other.after(layer);
  if (layer.contains(focused)) focused.focus();
  changed();
}

function press(button) {
  const [verb] = button.value.split(" ");
  const layer = layerOf(button);
  if (verb === "add") addLayer();
  else if (verb === "remove") removeLayer(layer);
  else if (verb === "up" || verb === "down") moveLayer(layer, verb === "up" ? 1 : -1);
  else return false;
  return true;
}

// Keys and steppers --------------------------------------------------------------------------------------------------

function goTo(layer, column) {
  const cell = layer && cellsOf(layer)[column];
  if (!cell) return false;
  cell.focus();
  cell.select();
  return true;
}

// A cell holds a figure or two, so an arrow leaves it rather than moves within it.
function moveFrom(input, key) {
  const layer = layerOf(input);
  const every = layers();
  const row = every.indexOf(layer);
  const column = cellsOf(layer).indexOf(input);
  if (key === "ArrowUp") return goTo(every[row - 1], column);
  if (key === "ArrowDown") return goTo(every[row + 1], column);
  return goTo(layer, column + (key === "ArrowLeft" ? -1 : 1));
}

// Enter goes on to the next cell, then to the next layer; it does not send a half-filled grid.
function goOn(input) {
  const layer = layerOf(input);
  const every = layers();
  if (!goTo(layer, cellsOf(layer).indexOf(input) + 1)) goTo(every[every.indexOf(layer) + 1], 0);
}

function whenKey(event) {
  const layer = event.target.closest?.("tbody[data-layer]");
  if (!layer) return;
  if (event.altKey && (event.key === "ArrowUp" || event.key === "ArrowDown")) {
    event.preventDefault();
    moveLayer(layer, event.key === "ArrowUp" ? 1 : -1);
  } else if (event.target.matches("[data-coats]") && !event.altKey && !event.ctrlKey && !event.metaKey && !event.shiftKey) {
    if (event.key === "Enter") {
      event.preventDefault();
      goOn(event.target);
    } else if (event.key.startsWith("Arrow") && moveFrom(event.target, event.key)) event.preventDefault();
  }
}

function step(input, by) {
  const amount = readAmount(input.value, methodOf(layerOf(input)));
  const next = Math.max(0, Math.min(20, (amount?.coats ?? amount?.seconds ?? 0) + by));
  input.value = next ? String(Number(next.toFixed(1))) : "";
  input.dispatchEvent(new Event("input", { bubbles: true }));
}

function stepper(input, by, words) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "coatgrid-step";
  button.tabIndex = -1;
  button.textContent = by > 0 ? "+" : "−";
  button.setAttribute("aria-label", `${words}, ${input.dataset.coats}`);
  button.addEventListener("click", (event) => {
    event.preventDefault();
    step(input, by);
  });
  return button;
}

function prepare(layer) {
  for (const input of cellsOf(layer)) {
    input.before(stepper(input, -1, "one coat less"));
    input.after(stepper(input, 1, "one coat more"));
  }
}

// What happens on the page -------------------------------------------------------------------------------------------

form.addEventListener("click", (event) => {
  const button = event.target.closest("button[name=do]");
  if (button && press(button)) event.preventDefault();
});

form.addEventListener("keydown", whenKey);

form.addEventListener("focusin", (event) => {
  if (event.target.matches("[data-coats]")) event.target.select();
});

form.addEventListener("input", (event) => {
  if (event.target.matches("[data-coats]")) {
    event.target.removeAttribute("aria-invalid");
    redraw();
  }
});

form.addEventListener("change", (event) => {
  const { target } = event;
  const layer = layerOf(target);
  if (layer && target.matches("[data-glaze]")) {
    showGlaze(layer);
    showLots(layer);
    nameLayers();
  }
  if (layer && target.matches("[data-lot]")) showGravity(layer);
  if (layer && target.matches("[data-method]")) {
    showUnit(layer);
    for (const cell of cellsOf(layer)) judgeCell(cell);
  }
  if (target.matches("[data-coats]")) judgeCell(target);
  redraw();
});

// A lot added from the dialog belongs to one glaze: only that glaze's layers may choose it.
document.addEventListener("added", ({ detail }) => {
  if (detail.kind !== "batch") return;
  const chosen = layers().find((layer) => layer.querySelector("[data-lot]").value === String(detail.value));
  const glaze = chosen?.querySelector("[data-glaze]").value;
  if (glaze) (facts.lots[glaze] ??= []).push([String(detail.value), detail.label, ""]);
  for (const layer of layers()) showLots(layer);
});

form.addEventListener("htmx:afterSwap", (event) => {
  if (event.detail.target.id === "preview") countTiles();
});

// While another form's grid is on its way nothing can be typed into the one it replaces, so nothing typed is lost.
const holdGrid = (held) => form.querySelector("#coatgrid")?.toggleAttribute("inert", held);
form.addEventListener("htmx:beforeRequest", (event) => {
  if (event.detail.target.id === "coatgrid") holdGrid(true);
});
form.addEventListener("htmx:afterRequest", (event) => {
  if (event.detail.target.id === "coatgrid") holdGrid(false);
});

// Another form of tile brought another grid.
form.addEventListener("htmx:load", (event) => {
  if (event.target.id !== "coatgrid") return;
  for (const layer of layers()) prepare(layer);
  changed();
});

// The button says how many tiles it makes.
function countTiles() {
  const words = form.querySelector("[data-keep]");
  const count = Number(form.querySelector("#preview [data-count]")?.dataset.count ?? 0);
  if (words) words.textContent = `Keep ${count > 1 ? `${count} tiles` : "the tile"}`;
}

for (const layer of layers()) prepare(layer);
draw();
countTiles();
