// Areas on a photo: the outline of a tile is pulled onto the tile and its zones follow; each zone can be pulled by itself.
// Works by finger, mouse and keyboard. Corners are shares of the photo, as the form sends them. Without scripts the areas
// lie where the server laid them.

const STEP = 0.004;
const WIDE_STEP = 0.02;
const REST_MS = 250;
const CORNERS = ["upper left corner", "upper right corner", "lower right corner", "lower left corner"];
const SIDES = ["upper side", "right side", "lower side", "left side"];

const clamped = (share) => Math.max(0, Math.min(1, share));
const read = (text) => {
  const shares = text.split(",").map(Number);
  return [0, 2, 4, 6].map((place) => [shares[place], shares[place + 1]]);
};
const write = (corners) => corners.flat().map((share) => Number(share.toFixed(5))).join(",");
const pointsOf = (corners) => corners.map((corner) => corner.join(",")).join(" ");

// Takes places of the unit square to where they lie in a quadrilateral in perspective (Heckbert 1989, section 2.2.3).
export function squareTo([[x0, y0], [x1, y1], [x2, y2], [x3, y3]]) {
  const [dx1, dx2, dx3] = [x1 - x2, x3 - x2, x0 - x1 + x2 - x3];
  const [dy1, dy2, dy3] = [y1 - y2, y3 - y2, y0 - y1 + y2 - y3];
  const whole = dx1 * dy2 - dx2 * dy1;
  const g = (dx3 * dy2 - dx2 * dy3) / whole;
  const h = (dx1 * dy3 - dx3 * dy1) / whole;
  return ([u, v]) => {
    const far = g * u + h * v + 1;
    return [
      ((x1 - x0 + g * x1) * u + (x3 - x0 + h * x3) * v + x0) / far,
      ((y1 - y0 + g * y1) * u + (y3 - y0 + h * y3) * v + y0) / far,
    ];
  };
}

// Whether the sides turn the same way all around.
function isConvex(corners) {
  const turns = corners.map(([x, y], place) => {
    const [x1, y1] = corners[(place + 1) % 4];
    const [x2, y2] = corners[(place + 2) % 4];
    return (x1 - x) * (y2 - y1) - (y1 - y) * (x2 - x1);
  });
  return turns.every((turn) => turn > 1e-6) || turns.every((turn) => turn < -1e-6);
}

function bind(svg, form) {
  const view = svg.parentElement;
  const zones = new Map();
  const outlines = new Map();
  const ownWay = new Set();
  const waiting = new Map();
  let pulled = "";

  for (const zone of form.querySelectorAll("[data-zone]")) {
    zones.set(zone.dataset.zone, {
      element: zone,
      input: zone.querySelector("[data-sent-as]"),
      tick: zone.querySelector("input[type=checkbox]"),
      place: read(zone.dataset.place),
      tile: zone.dataset.tile,
    });
  }
  for (const radio of form.querySelectorAll("[data-outline]")) {
    const corners = read(radio.dataset.outline).map((corner) => corner.map(clamped));
    outlines.set(radio.value, { corners, drawn: drawnOutline() });
  }

  function drawnOutline() {
    const drawn = document.createElementNS("http://www.w3.org/2000/svg", "polygon");
    drawn.setAttribute("class", "colour-area colour-area--outline");
    svg.prepend(drawn);
    return drawn;
  }

  const cornersOf = (name) => (outlines.has(name) ? outlines.get(name).corners : read(zones.get(name).input.value));

  function set(name, corners) {
    if (!isConvex(corners)) return;
    if (outlines.has(name)) {
      outlines.get(name).corners = corners;
      follow(name);
    } else {
      ownWay.add(name);
      lay(name, corners);
    }
    draw();
  }

  function lay(name, corners) {
    zones.get(name).input.value = write(corners.map((corner) => corner.map(clamped)));
    clearTimeout(waiting.get(name));
    waiting.set(name, setTimeout(() => ask(name), REST_MS));
  }

  // Zones not pulled by hand follow the outline of their tile.
  function follow(tile) {
    const onto = squareTo(outlines.get(tile).corners);
    for (const [name, zone] of zones) {
      if (zone.tile === tile && !ownWay.has(name)) lay(name, zone.place.map(onto));
    }
  }

  function ask(name) {
    const { element, tick } = zones.get(name);
    if (tick.checked) element.dispatchEvent(new CustomEvent("area-moved"));
  }

  // Handles: four corners, four sides, and the middle that moves all of it.
  const handles = [
    ...CORNERS.map((words, place) => handle(words, [place])),
    ...SIDES.map((words, place) => handle(words, [place, (place + 1) % 4], "colour-handle--side")),
    handle("whole area", [0, 1, 2, 3]),
  ];

  function handle(words, moves, more = "") {
    const button = document.createElement("button");
    button.type = "button";
    button.className = `colour-handle ${more}`;
    button.dataset.words = words;
    button.moves = moves;
    button.addEventListener("keydown", onKey);
    dragged(button, () => moves);
    view.append(button);
    return button;
  }

  function shift(moves, byX, byY) {
    const corners = cornersOf(pulled);
    const outside = moves.some((place) => {
      const [x, y] = corners[place];
      return x + byX < 0 || x + byX > 1 || y + byY < 0 || y + byY > 1;
    });
    if (outside && moves.length === 4) return;
    set(
      pulled,
      corners.map(([x, y], place) => (moves.includes(place) ? [clamped(x + byX), clamped(y + byY)] : [x, y])),
    );
  }

  function onKey(event) {
    const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const way = ways[event.key];
    if (!way) return;
    event.preventDefault();
    const step = event.shiftKey ? WIDE_STEP : STEP;
    shift(event.currentTarget.moves, way[0] * step, way[1] * step);
  }

  function dragged(element, movesOf) {
    let last = null;
    element.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      element.setPointerCapture(event.pointerId);
      last = [event.clientX, event.clientY];
      event.preventDefault();
      element.focus?.({ preventScroll: true });
    });
    element.addEventListener("pointermove", (event) => {
      if (!last) return;
      const box = view.getBoundingClientRect();
      shift(movesOf(), (event.clientX - last[0]) / box.width, (event.clientY - last[1]) / box.height);
      last = [event.clientX, event.clientY];
    });
    for (const end of ["pointerup", "pointercancel"]) element.addEventListener(end, () => (last = null));
  }

  function draw() {
    for (const [name, zone] of zones) {
      for (const polygon of svg.querySelectorAll(`[data-area-of="${name}"]`)) {
        polygon.setAttribute("points", pointsOf(read(zone.input.value)));
        polygon.classList.toggle("colour-area--off", !zone.tick.checked);
        polygon.classList.toggle("colour-area--pulled", name === pulled);
      }
    }
    for (const [name, outline] of outlines) {
      outline.drawn.setAttribute("points", name === pulled ? pointsOf(outline.corners) : "");
    }
    const corners = cornersOf(pulled);
    const words = outlines.has(pulled) ? "tile" : zones.get(pulled).element.querySelector("legend").innerText.trim();
    for (const button of handles) {
      const middle = [0, 1].map((axis) => button.moves.reduce((sum, place) => sum + corners[place][axis], 0));
      button.style.left = `${(100 * middle[0]) / button.moves.length}%`;
      button.style.top = `${(100 * middle[1]) / button.moves.length}%`;
      button.setAttribute("aria-label", `${words}: ${button.dataset.words}, move by arrow keys`);
    }
  }

  function pull(name) {
    pulled = name;
    const radio = form.querySelector(`[name=pulled][value="${CSS.escape(name)}"]`);
    if (radio) radio.checked = true;
    draw();
  }

  for (const polygon of svg.querySelectorAll("[data-area-of]")) {
    polygon.dataset.grip = "";
    polygon.addEventListener("pointerdown", () => pull(polygon.dataset.areaOf));
    dragged(polygon, () => [0, 1, 2, 3]);
  }
  form.addEventListener("change", (event) => {
    if (event.target.name === "pulled") pull(event.target.value);
    if (event.target.name === "zone") {
      draw();
      ask(event.target.value);
    }
  });
  for (const hidden of document.querySelectorAll("[data-outlines], [data-pull], [data-area-help]")) hidden.hidden = false;
  const asked = new URLSearchParams(location.search).get("outcome");
  pull(zones.has(asked) && !outlines.size ? asked : [...outlines.keys()][0]);
}

const svg = document.querySelector("[data-areas]");
const form = document.querySelector("[data-areas-form]");
if (svg && form) bind(svg, form);
