// Draws a tile's zones from above and in section, as tiles/recording/section.py does on the server: the same figures,
// held together by a test. Thickness is by coats, not to scale; no colour here is foretold.

const COLUMN = { width: 100, height: 96, clay: 30, layers: 58 };
const TALLEST_STEP = 9;
const RIDGES = 7;
const RIDGE_HEIGHT = 8;
const LEVELLING = 0.55;
const DIP_STEPS = [1, 6];
const SHARE_OF_A_COAT = 0.5;
const SMALLEST_WORDS_MM = 3;
const STROKES = { brush: "none", pour: "14 2", spray: "1 2", trail: "5 5", sponge: "3 3" };
const DARK_INK = "#22201d";
const LIGHT_INK = "#ffffff";
const SVG = "http://www.w3.org/2000/svg";

const figure = (value) => String(Number(value.toFixed(2)));

function channels(swatch) {
  return [1, 3, 5].map((at) => Number.parseInt(swatch.slice(at, at + 2), 16));
}

function mixed(under, over, share) {
  const high = channels(over);
  const mix = (low, index) => Math.floor(low + (high[index] - low) * share + 0.5);
  return `#${channels(under).map((low, index) => mix(low, index).toString(16).padStart(2, "0")).join("")}`;
}

// The line around a shape of that colour.
export const edgeOf = (swatch) => mixed(swatch, "#000000", 0.35);

function isDark(swatch) {
  const linear = (channel) => (channel <= 0.04045 ? channel / 12.92 : ((channel + 0.055) / 1.055) ** 2.4);
  const [red, green, blue] = channels(swatch).map((channel) => linear(channel / 255));
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue < 0.179;
}

// What was typed in a cell, or null while it does not read: the same as grid.read_amount.
export function readAmount(typed, method) {
  const bare = typed.trim().toLowerCase();
  if (method === "dip") {
    const found = /^(\d{1,3}(?:[.,]\d)?)\s*(?:s|sec|secs|second|seconds)?\.?$/.exec(bare);
    const seconds = found ? Number(found[1].replace(",", ".")) : 0;
    return seconds > 0 && seconds <= 600 ? { seconds, words: `${seconds} s` } : null;
  }
  const found = /^[×x*]?\s*(\d{1,4})\s*(?:[×x*]|coats?)?$/.exec(bare);
  const coats = found ? Number(found[1]) : 0;
  return coats >= 1 && coats <= 20 ? { coats, words: `×${coats}` } : null;
}

function steps(amount) {
  if (amount.coats) return amount.coats;
  return Math.max(DIP_STEPS[0], Math.min(DIP_STEPS[1], amount.seconds));
}

function level([y, relief]) {
  if (!relief) {
    return [
      [0, y],
      [COLUMN.width, y],
    ];
  }
  const half = COLUMN.width / (2 * RIDGES);
  return Array.from({ length: 2 * RIDGES + 1 }, (_, step) => [half * step, y - (step % 2 ? relief : 0)]);
}

const line = (points, start = "M") => start + points.map(([x, y]) => `${figure(x)} ${figure(y)}`).join("L");
const between = (low, high) => `${line(high)}${line([...low].reverse(), "L")}Z`;

function element(name, attributes, words = "") {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (words) made.textContent = words;
  return made;
}

const skin = { "stroke-width": 0.75, "vector-effect": "non-scaling-stroke" };

function slab(layer, low, high) {
  const coats = layer.amount.coats ?? 1;
  const at = (coat, index) => low[index] + ((high[index] - low[index]) * coat) / coats;
  const strokes = Array.from({ length: coats - 1 }, (_, coat) => line(level([at(coat + 1, 0), at(coat + 1, 1)]))).join("");
  const edge = edgeOf(layer.swatch);
  const outline = element("path", {
    d: between(level(low), level(high)),
    fill: layer.swatch,
    stroke: edge,
    ...skin,
    "stroke-linejoin": "round",
  });
  if (!strokes) return [outline];
  const dash = STROKES[layer.method] ?? "none";
  return [
    outline,
    element("path", { d: strokes, fill: "none", stroke: edge, "stroke-opacity": 0.55, "stroke-dasharray": dash, ...skin }),
  ];
}

// How high one coat is drawn, so that the thickest of the stacks still fits.
export function stepHeight(stacks) {
  const thickest = Math.max(0, ...stacks.map((layers) => layers.reduce((sum, layer) => sum + steps(layer.amount), 0)));
  return thickest ? Math.min(TALLEST_STEP, COLUMN.layers / thickest) : TALLEST_STEP;
}

// One zone's layers, bottom to top, into its <svg data-column>.
export function drawColumn(svg, layers, step) {
  let lower = [COLUMN.height - COLUMN.clay, "textured" in svg.dataset ? RIDGE_HEIGHT : 0];
  const drawn = layers.flatMap((layer) => {
    const higher = [lower[0] - step * steps(layer.amount), lower[1] * LEVELLING];
    const paths = slab(layer, lower, higher);
    lower = higher;
    return paths;
  });
  svg.querySelector("[data-slabs]").replaceChildren(...drawn);
  const words = layers.map((layer) => `${layer.glaze} ${layer.amount.words}`).join(" + ") || "bare clay";
  svg.setAttribute("aria-label", `${svg.dataset.column}: ${words}`);
}

// Lines of words in the middle of a zone, as large as fits.
function linesAt(box, words) {
  const longest = Math.max(...words.map((each) => each.length));
  const room = [8, box.width / (0.62 * longest + 0.4), box.height / (1.25 * words.length + 0.3)];
  const size = Number(Math.min(...room).toFixed(2));
  const first = box.y + box.height / 2 - (size * 1.25 * (words.length - 1)) / 2 + size * 0.36;
  return { size, lines: words.map((text, index) => ({ y: first + size * 1.25 * index, text })) };
}

// The amounts on a zone, top layer first; only how many layers where they would be too small to read.
function amountLines(box, layers, ink) {
  if (!layers.length) return [];
  const each = linesAt(
    box,
    layers.map((layer) => layer.amount.words).reverse(),
  );
  const { size, lines } = each.size >= SMALLEST_WORDS_MM ? each : linesAt(box, [`${layers.length} layers`]);
  const x = figure(box.x + box.width / 2);
  const style = { x, "font-size": size, "font-weight": 600, "text-anchor": "middle", fill: ink };
  return lines.map(({ y, text }) => element("text", { ...style, y: figure(y) }, text));
}

// One zone from above, into its <g data-patch>.
export function drawPatch(patch, layers, clay) {
  const rect = patch.querySelector("rect");
  const measure = (name) => Number(rect.getAttribute(name));
  const box = { x: measure("x"), y: measure("y"), width: measure("width"), height: measure("height") };
  const hidden = (layer) => 1 - SHARE_OF_A_COAT ** steps(layer.amount);
  const colour = layers.reduce((under, layer) => mixed(under, layer.swatch, hidden(layer)), clay);
  const ink = isDark(colour) ? LIGHT_INK : DARK_INK;
  rect.setAttribute("fill", layers.length ? colour : "none");
  rect.setAttribute("stroke", ink);
  rect.toggleAttribute("stroke-dasharray", false);
  if (!layers.length) rect.setAttribute("stroke-dasharray", "1.4 1.4");
  patch.querySelector("[data-ridges]")?.setAttribute("stroke", ink);
  patch.querySelector("[data-amounts]").replaceChildren(...amountLines(box, layers, ink));
}
