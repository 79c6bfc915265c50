// A photo close up: drawn on a canvas from its large rendition, and, nearer than that, from the pieces in view at full
// resolution. Wheel, two fingers, a double tap, dragging, keys; on the grey surround of the person's choice.
//
//   <div class="close-up-view" tabindex="0" data-close-up data-pieces="/photos/…/pieces/" data-home="0 0 1 1">
//     <img src="…large.jpg" width="4000" height="3000" alt="…">      (size of the original, or of the part shown)
//   </div>
//
// data-home is the part of the photo that is shown, as shares: left, top, width, height; data-pictured, where it differs,
// the part that the img holds. Places given to and by the viewer are shares of the whole upright photo.

const STEP = 1.4;
const PAN_PX = 80;
const GLIDE_MS = 170;
const TAP_MS = 300;
const TAP_PX = 24;
// A finger or a mouse that moved less has not dragged.
const STILL_PX = 4;
const PIECES_KEPT = 64;
const PIECES_AT_ONCE = 6;
// So far beyond one pixel of the photo to one of the screen.
const NEAREST = 8;

const slowly = matchMedia("(prefers-reduced-motion: reduce)");
const facts = new Map();

const clamp = (value, least, most) => Math.max(least, Math.min(most, value));

// What a photo's pieces are, asked once a page.
function factsAt(address) {
  if (!facts.has(address)) {
    const asked = fetch(address, { headers: { Accept: "application/json" } });
    facts.set(address, asked.then((answer) => (answer.ok ? answer.json() : null)).catch(() => null));
  }
  return facts.get(address);
}

// Makes the picture in `view` zoom. Returns what buttons, keys and other viewers call.
export function closeUp(view) {
  const picture = view.querySelector("img");
  const canvas = document.createElement("canvas");
  const pen = canvas.getContext("2d");
  const fingers = new Map();
  const pieces = new Map();
  const listeners = new Set();
  let home = [0, 0, 1, 1];
  let pictured = home;
  let known = null;
  let bar = null;
  let gliding = 0;
  let waiting = 0;
  let loading = 0;
  let tapped = null;
  let moved = 0;
  // How near, 1 showing all of it, and which place of what is shown is in the middle.
  let scale = 1;
  let middle = [0.5, 0.5];

  canvas.setAttribute("aria-hidden", "true");
  picture.draggable = false;
  view.prepend(canvas);

  // Sizes --------------------------------------------------------------------------------------------------------

  const whole = () => {
    if (known) return [known.width, known.height];
    const width = Number(picture.getAttribute("width")) || picture.naturalWidth || 1;
    const height = Number(picture.getAttribute("height")) || picture.naturalHeight || 1;
    return [width / pictured[2], height / pictured[3]];
  };
  const size = () => whole().map((side, at) => side * home[2 + at]);
  const box = () => [view.clientWidth || 1, view.clientHeight || 1];

  // Pixels of the screen, as the page counts them, for one pixel of the photo.
  const density = () => Math.min(box()[0] / size()[0], box()[1] / size()[1]) * scale;
  const most = () => Math.max(4, NEAREST / Math.max(1e-9, density() / scale) / devicePixelRatio);
  const inHome = ([x, y]) => [(x - home[0]) / home[2], (y - home[1]) / home[3]];
  const inWhole = ([x, y]) => [home[0] + x * home[2], home[1] + y * home[3]];

  // Where a place of the photo is in the view, and the other way.
  function toView(place) {
    const shown = inHome(place);
    return [0, 1].map((at) => box()[at] / 2 + (shown[at] - middle[at]) * size()[at] * density());
  }
  function toPlace(point) {
    return inWhole([0, 1].map((at) => middle[at] + (point[at] - box()[at] / 2) / (size()[at] * density())));
  }

  // Drawing ------------------------------------------------------------------------------------------------------

  function draw() {
    waiting = 0;
    const ratio = devicePixelRatio;
    const [width, height] = box().map((side) => Math.round(side * ratio));
    if (canvas.width !== width || canvas.height !== height) [canvas.width, canvas.height] = [width, height];
    pen.clearRect(0, 0, width, height);
    const near = density() * ratio;
    const [left, top] = toView(inWhole([0, 0])).map((edge) => edge * ratio);
    if (picture.complete && picture.naturalWidth) {
      view.dataset.drawn = "";
      pen.imageSmoothingQuality = "high";
      pen.save();
      pen.beginPath();
      pen.rect(Math.round(left), Math.round(top), size()[0] * near, size()[1] * near);
      pen.clip();
      const [x, y] = toView([pictured[0], pictured[1]]).map((edge) => edge * ratio);
      const [across, down] = whole().map((side, at) => side * pictured[2 + at]);
      pen.drawImage(picture, x, y, across * near, down * near);
      if (near > (picture.naturalWidth / across) * 1.05) drawPieces(near, left, top);
      pen.restore();
    }
    placeBar();
    for (const listener of listeners) listener();
  }

  const redraw = () => (waiting ||= requestAnimationFrame(draw));

  // The coarsest level with a pixel for each of the screen's; the finest where none has that many.
  function levelFor(near) {
    const fine = known.levels.filter((level) => 2 ** -level >= near * 0.99);
    return fine.length ? Math.max(...fine) : Math.min(...known.levels);
  }

  function drawPieces(near, left, top) {
    if (!known?.levels.length) return;
    const [homeLeft, homeTop] = [home[0] * known.width, home[1] * known.height];
    const finest = levelFor(near);
    for (const level of [...known.levels].sort((one, other) => other - one).filter((one) => one >= finest)) {
      const side = known.side * 2 ** level;
      const edgeX = (column) => Math.round(left + (Math.min(known.width, column * side) - homeLeft) * near);
      const edgeY = (row) => Math.round(top + (Math.min(known.height, row * side) - homeTop) * near);
      for (const [column, row] of inView(side)) {
        const piece = pieceAt(level, column, row, level === finest);
        if (!piece) continue;
        const [x, y] = [edgeX(column), edgeY(row)];
        pen.drawImage(piece, x, y, edgeX(column + 1) - x, edgeY(row + 1) - y);
      }
    }
  }

  // Columns and rows of the pieces in view, those in the middle first.
  function inView(side) {
    const pixels = (place) => [place[0] * known.width, place[1] * known.height];
    const [first, last] = [pixels(toPlace([0, 0])), pixels(toPlace(box()))];
    const least = inPixels([0, 0]);
    const end = inPixels([1, 1]);
    const range = (at, full) => {
      const from = Math.floor(Math.max(first[at], least[at], 0) / side);
      const to = Math.ceil(Math.min(last[at], end[at], full) / side);
      return Array.from({ length: Math.max(0, to - from) }, (_, index) => from + index);
    };
    const middleOf = [(first[0] + last[0]) / 2 / side - 0.5, (first[1] + last[1]) / 2 / side - 0.5];
    const away = ([column, row]) => Math.hypot(column - middleOf[0], row - middleOf[1]);
    const rows = range(1, known.height);
    return range(0, known.width)
      .flatMap((column) => rows.map((row) => [column, row]))
      .sort((one, other) => away(one) - away(other));
  }

  const inPixels = (shown) => inWhole(shown).map((share, at) => share * [known.width, known.height][at]);

  // A piece that has arrived; one that has not is sent for when it is wanted.
  function pieceAt(level, column, row, wanted) {
    const key = `${level}/${column}-${row}`;
    const piece = pieces.get(key);
    if (!piece) {
      if (wanted) send(key);
      return null;
    }
    pieces.delete(key);
    pieces.set(key, piece);
    return piece.naturalWidth ? piece : null;
  }

  function send(key) {
    if (loading >= PIECES_AT_ONCE) return;
    const piece = new Image();
    const asked = known;
    loading += 1;
    pieces.set(key, piece);
    piece.src = `${known.pieces}${key}.jpg`;
    piece.decode().catch(() => null).finally(() => {
      loading -= 1;
      if (asked !== known) return;
      view.dataset.piecesShown = String([...pieces.values()].filter((one) => one.naturalWidth).length);
      for (const old of [...pieces.keys()].slice(0, Math.max(0, pieces.size - PIECES_KEPT))) pieces.delete(old);
      redraw();
    });
  }

  // A length to tell sizes by, where the scale is known.
  function placeBar() {
    bar?.toggleAttribute("hidden", !known?.px_per_mm);
    if (!known?.px_per_mm) return;
    const unit = known.unit === "in" ? 25.4 : 1;
    const pxPerUnit = known.px_per_mm * unit * density();
    const room = Math.min(200, box()[0] * 0.5);
    const lengths = [100, 50, 20, 10, 5, 2, 1, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01];
    const length = lengths.find((one) => one * pxPerUnit <= room) ?? 0.01;
    if (!bar) {
      bar = view.appendChild(Object.assign(document.createElement("p"), { className: "close-up-bar" }));
      bar.append(document.createElement("span"));
    }
    bar.firstChild.textContent = `${length} ${known.unit}`;
    bar.style.width = `${length * pxPerUnit}px`;
  }

  // Moving -------------------------------------------------------------------------------------------------------

  function settle() {
    scale = clamp(scale, 1, most());
    middle = middle.map((place, at) => {
      const half = box()[at] / 2 / (size()[at] * density());
      return half >= 0.5 ? 0.5 : clamp(place, half, 1 - half);
    });
    view.dataset.closeUp = scale > 1.001 ? "near" : "whole";
    const isActual = Math.abs(density() * devicePixelRatio - 1) < 0.01;
    view.dispatchEvent(new CustomEvent("zoomed", { detail: { percent: Math.round(scale * 100), isActual } }));
    redraw();
  }

  // Someone moved this picture: others that go in step are told where it looks.
  function told() {
    view.dispatchEvent(new CustomEvent("moved", { detail: { scale, middle: [...middle] } }));
  }

  function look(at) {
    cancelAnimationFrame(gliding);
    [scale, middle] = [at.scale, [...at.middle]];
    settle();
  }

  function goTo(target) {
    cancelAnimationFrame(gliding);
    const from = { scale, middle };
    const start = performance.now();
    if (slowly.matches) {
      look(target);
      return told();
    }
    const step = (now) => {
      const share = clamp((now - start) / GLIDE_MS, 0, 1);
      const eased = 1 - (1 - share) ** 3;
      scale = from.scale * (target.scale / from.scale) ** eased;
      middle = from.middle.map((place, at) => place + (target.middle[at] - place) * eased);
      settle();
      told();
      if (share < 1) gliding = requestAnimationFrame(step);
    };
    gliding = requestAnimationFrame(step);
  }

  // Where to look after zooming by a factor so that what lies under a point of the view stays under it.
  function zoomed(factor, point = [box()[0] / 2, box()[1] / 2]) {
    const target = clamp(scale * factor, 1, most());
    const under = inHome(toPlace(point));
    const grown = density() * (target / scale);
    return {
      scale: target,
      middle: [0, 1].map((at) => under[at] - (point[at] - box()[at] / 2) / (size()[at] * grown)),
    };
  }

  function panned(byX, byY) {
    const moving = [byX, byY];
    return { scale, middle: middle.map((place, at) => place - moving[at] / (size()[at] * density())) };
  }

  const one = () => 1 / (density() * devicePixelRatio);
  const wholeAgain = () => goTo({ scale: 1, middle: [0.5, 0.5] });
  const actual = (point) => goTo(zoomed(one(), point));
  const nearer = () => goTo(zoomed(STEP));
  const farther = () => goTo(zoomed(1 / STEP));

  function pointOf(event) {
    const edge = view.getBoundingClientRect();
    return [event.clientX - edge.x - view.clientLeft, event.clientY - edge.y - view.clientTop];
  }

  function spread() {
    const [first, second] = [...fingers.values()];
    return {
      point: [(first[0] + second[0]) / 2, (first[1] + second[1]) / 2],
      apart: Math.hypot(first[0] - second[0], first[1] - second[1]),
    };
  }

  function now(at) {
    look(at);
    told();
  }

  view.addEventListener("pointerdown", (event) => {
    if (fingers.size === 2 || event.button > 0) return;
    fingers.set(event.pointerId, pointOf(event));
    moved = fingers.size === 1 ? 0 : STILL_PX;
    if (scale > 1 || fingers.size === 2) view.setPointerCapture(event.pointerId);
  });
  view.addEventListener("pointermove", (event) => {
    const was = fingers.get(event.pointerId);
    if (!was) return;
    const before = fingers.size === 2 ? spread() : null;
    const at = pointOf(event);
    moved += Math.hypot(at[0] - was[0], at[1] - was[1]);
    fingers.set(event.pointerId, at);
    if (before) {
      const after = spread();
      now(zoomed(after.apart / Math.max(1, before.apart), after.point));
      now(panned(after.point[0] - before.point[0], after.point[1] - before.point[1]));
    } else if (scale > 1) {
      now(panned(at[0] - was[0], at[1] - was[1]));
    }
  });
  view.addEventListener("pointerup", (event) => {
    if (!fingers.delete(event.pointerId) || fingers.size || moved > STILL_PX) return;
    const tap = { point: pointOf(event), at: event.timeStamp };
    const isDouble =
      tapped &&
      tap.at - tapped.at < TAP_MS &&
      Math.hypot(tap.point[0] - tapped.point[0], tap.point[1] - tapped.point[1]) < TAP_PX;
    tapped = isDouble ? null : tap;
    if (!isDouble) return;
    if (scale > 1.001) wholeAgain();
    else if (one() > 1.5) actual(tap.point);
    else goTo(zoomed(3, tap.point));
  });
  view.addEventListener("pointercancel", (event) => fingers.delete(event.pointerId));
  view.addEventListener(
    "wheel",
    (event) => {
      event.preventDefault();
      now(zoomed(Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : 0.0015)), pointOf(event)));
    },
    { passive: false },
  );

  const keys = {
    "+": nearer,
    "=": nearer,
    "-": farther,
    0: wholeAgain,
    1: () => actual(),
    Home: wholeAgain,
    End: () => actual(),
    ArrowLeft: () => now(panned(PAN_PX, 0)),
    ArrowRight: () => now(panned(-PAN_PX, 0)),
    ArrowUp: () => now(panned(0, PAN_PX)),
    ArrowDown: () => now(panned(0, -PAN_PX)),
  };
  // True when the key did something here: arrows only while zoomed in.
  function key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return false;
    if (!keys[event.key] || (event.key.startsWith("Arrow") && scale <= 1.001)) return false;
    event.preventDefault();
    keys[event.key]();
    return true;
  }

  // Which picture -------------------------------------------------------------------------------------------------

  async function learn() {
    const address = view.dataset.pieces;
    if (!address) return;
    const found = await factsAt(address);
    if (address !== view.dataset.pieces) return;
    known = found;
    settle();
  }

  // Shows what the view's attributes and its img say now.
  function open() {
    known = null;
    pieces.clear();
    home = (view.dataset.home || "0 0 1 1").split(" ").map(Number);
    pictured = view.dataset.pictured ? view.dataset.pictured.split(" ").map(Number) : home;
    [scale, middle] = [1, [0.5, 0.5]];
    settle();
    learn();
  }

  picture.addEventListener("load", redraw);
  new ResizeObserver(settle).observe(view);
  open();
  return {
    view, picture, key, nearer, farther, actual, look, open, toView, toPlace,
    whole: wholeAgain,
    stepPx: () => 1 / density(),
    sizePx: () => whole(),
    onDraw: (listener) => listeners.add(listener),
  };
}

// Buttons ----------------------------------------------------------------------------------------------------------

export function button(words, label, whenPressed) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "button";
  made.textContent = words;
  if (label) made.setAttribute("aria-label", label);
  made.addEventListener("click", whenPressed);
  return made;
}

export function tools(view, controls) {
  const group = document.createElement("div");
  group.className = "close-up-tools";
  const percent = document.createElement("output");
  percent.className = "close-up-percent";
  percent.textContent = "100 %";
  const actual = button("1 : 1", "1 : 1, one pixel of the photo to one of the screen", () => controls.actual());
  view.addEventListener("zoomed", (event) => {
    percent.textContent = `${event.detail.percent} %`;
    actual.setAttribute("aria-pressed", String(event.detail.isActual));
  });
  group.append(
    button("−", "Farther", controls.farther),
    percent,
    button("+", "Nearer", controls.nearer),
    button("Whole", "", controls.whole),
    actual,
    surrounds(),
  );
  return group;
}

// The grey a photo is judged on: mid, unless someone wants it lighter or darker, for a pale or a dark glaze.
const SURROUNDS = [["light", "Light surround"], ["mid", "Mid grey surround"], ["dark", "Dark surround"]];
const kept = () => {
  try {
    return localStorage.getItem("surround") ?? "mid";
  } catch {
    return "mid";
  }
};

function choose(surround) {
  document.documentElement.dataset.surround = surround;
  try {
    localStorage.setItem("surround", surround);
  } catch {
    // A browser that keeps nothing still shows it on this page.
  }
  for (const one of document.querySelectorAll("[data-surround-choice]")) {
    one.setAttribute("aria-pressed", String(one.dataset.surroundChoice === surround));
  }
}

function surrounds() {
  const group = document.createElement("div");
  group.className = "close-up-surrounds";
  group.setAttribute("role", "group");
  group.setAttribute("aria-label", "Surround");
  for (const [name, label] of SURROUNDS) {
    const made = button("", label, () => choose(name));
    made.dataset.surroundChoice = name;
    made.title = label;
    made.setAttribute("aria-pressed", String(name === kept()));
    group.append(made);
  }
  return group;
}

choose(kept());
