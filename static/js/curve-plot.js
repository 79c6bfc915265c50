// A firing's curve that answers to finger, mouse and arrow keys. It takes the place of the server's drawing, which stays
// for those without scripts; the drawing's own words are in the server's answer, colours come from the tokens.

const UPPER = 260;
const LOWER = 170;
const GUTTER = 46;
const RIGHT = 12;

const token = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

function clockWords(hour) {
  const minutes = Math.round(hour * 60);
  return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, "0")}`;
}

function coneWords(number, labels) {
  if (number === null || number === undefined) return "";
  const rounded = Math.round(number * 10) / 10;
  const below = Math.floor(rounded);
  const past = (rounded - below).toFixed(1);
  if (past === "0.0") return labels[below] ?? "";
  return below >= 1 ? rounded.toFixed(1) : `${past} past ${labels[below]}`;
}

function strokeOf(kind) {
  if (kind === "programme") return { stroke: token("--accent"), width: 1.5, dash: [6, 4] };
  if (kind === "sensor") return { stroke: token("--edge"), width: 1 };
  return { stroke: token("--ink"), width: 2 };
}

function axis(more) {
  const line = { stroke: token("--line"), width: 1 };
  return { stroke: token("--ink-soft"), font: `12px ${token("--face")}`, grid: line, ticks: line, ...more };
}

function diamond(context, x, y, size) {
  context.beginPath();
  context.moveTo(x, y - size);
  context.lineTo(x + size, y);
  context.lineTo(x, y + size);
  context.lineTo(x - size, y);
  context.closePath();
  context.fill();
  context.stroke();
}

// The held top and the moment of switching off lie under the lines, witness cones on top of them.
function marks(data, value) {
  return {
    hooks: {
      drawClear: (plot) => {
        if (data.off_h === null) return;
        const { ctx: context, bbox: box } = plot;
        const off = plot.valToPos(data.off_h, "x", true);
        const begin = plot.valToPos(data.off_h - data.held_h, "x", true);
        context.save();
        context.fillStyle = token("--sunk");
        context.fillRect(begin, box.top, off - begin, box.height);
        context.strokeStyle = token("--bad");
        context.lineWidth = 1.5 * devicePixelRatio;
        context.setLineDash([2 * devicePixelRatio, 3 * devicePixelRatio]);
        context.beginPath();
        context.moveTo(off, box.top);
        context.lineTo(off, box.top + box.height);
        context.stroke();
        context.restore();
      },
      draw: (plot) => {
        const { ctx: context } = plot;
        context.save();
        context.fillStyle = token("--raised");
        context.strokeStyle = token("--ink");
        context.lineWidth = 1.5 * devicePixelRatio;
        for (const witness of data.witnesses) {
          const y = plot.valToPos(value(witness), "y", true);
          diamond(context, plot.valToPos(witness.hour, "x", true), y, 6 * devicePixelRatio);
        }
        context.restore();
      },
    },
  };
}

function options(data, width, height, { series, y, range, value, values, onMove }) {
  return {
    width,
    height,
    legend: { show: false },
    cursor: { sync: { key: "curve" }, drag: { x: false, y: false }, y: false, points: { size: 8 } },
    scales: { x: { time: false }, y: { range } },
    axes: [
      axis({ size: 28, gap: 4, values: (_, hours) => hours.map((hour) => `${hour}`) }),
      axis({ size: GUTTER, gap: 4, values, ...y }),
    ],
    series: [{}, ...series],
    plugins: [marks(data, value), { hooks: { setCursor: onMove } }],
    padding: [12, RIGHT, 0, 0],
  };
}

function sentence(data, place) {
  const said = [`${clockWords(data.hours[place])}:`];
  for (const { kind, name, values } of data.temps) {
    if (values[place] !== null) said.push(`${kind === "sensor" ? name : kind} ${Math.round(values[place])} °${data.unit},`);
  }
  const cone = coneWords(data.cones[place], data.cone_labels);
  if (cone) said.push(`cone ${cone} so far`);
  return said.join(" ").replace(/,$/, "");
}

function drawIn(figure, data) {
  const sheet = figure.querySelector(".curve-sheet");
  const holder = document.createElement("div");
  holder.className = "curve-plot";
  const readout = document.createElement("output");
  readout.className = "curve-readout";
  const label = document.createElement("label");
  label.className = "unseen";
  const moment = document.createElement("input");
  moment.type = "range";
  moment.className = "curve-moment";
  moment.min = 0;
  moment.max = data.hours.length - 1;
  moment.value = data.hours.length - 1;
  moment.id = `moment-${Math.random().toString(36).slice(2)}`;
  label.htmlFor = moment.id;
  label.textContent = "Moment of the firing to read";
  const words = (title) => {
    const line = document.createElement("p");
    line.className = "note";
    line.textContent = title;
    return line;
  };
  const width = sheet.clientWidth;

  const tell = (place) => {
    readout.textContent = sentence(data, place);
    moment.value = place;
    moment.setAttribute("aria-valuetext", readout.textContent);
  };
  const onMove = (plot) => {
    if (plot.cursor.idx !== null && plot.cursor.idx !== undefined) tell(plot.cursor.idx);
  };
  const steady = { spanGaps: false, points: { show: false } };
  const upper = new uPlot(
    options(data, width, UPPER, {
      series: data.temps.map(({ kind }) => ({ ...steady, ...strokeOf(kind) })),
      range: (_, low, high) => [Math.min(0, low), high * 1.06],
      values: (_, ticks) => ticks.map((tick) => `${tick}`),
      value: (witness) => witness.temp,
      onMove,
    }),
    [data.hours, ...data.temps.map(({ values }) => values)],
    null,
  );
  const whole = (ticks) => ticks.map((tick) => data.cone_labels[tick] ?? "");
  const lower = new uPlot(
    options(data, width, LOWER, {
      series: [{ ...steady, ...strokeOf("logged") }],
      range: () => data.cone_range,
      y: { incrs: [1, 2, 4] },
      values: (_, ticks) => whole(ticks),
      value: (witness) => witness.number,
      onMove,
    }),
    [data.hours, data.cones],
    null,
  );
  holder.append(words(`°${data.unit}`), upper.root, words("Cone so far; hours"), lower.root, label, moment, readout);
  sheet.replaceChildren(holder);
  for (const plot of [upper, lower]) follow(plot);
  const point = (place) => {
    const left = upper.valToPos(data.hours[place], "x");
    upper.setCursor({ left, top: 10 });
    tell(place);
  };
  moment.addEventListener("input", () => point(Number(moment.value)));
  tell(Math.max(0, data.hours.findLastIndex((hour) => data.off_h !== null && hour <= data.off_h)));
  return [upper, lower];
}

// A finger moves the cursor as a mouse does; up and down still scrolls the page.
function follow(plot) {
  const move = (event) => {
    if (event.pointerType !== "touch") return;
    const box = plot.over.getBoundingClientRect();
    plot.setCursor({ left: event.clientX - box.left, top: event.clientY - box.top });
  };
  plot.over.addEventListener("pointerdown", move);
  plot.over.addEventListener("pointermove", move);
}

async function begin(figure) {
  const sheet = figure.querySelector(".curve-sheet");
  const address = `${figure.dataset.curvePlot}?pixels=${Math.round(sheet.clientWidth)}`;
  const answer = await fetch(address, { headers: { Accept: "application/json" } });
  if (!answer.ok) return;
  const data = await answer.json();
  let plots = drawIn(figure, data);
  const redraw = () => {
    for (const plot of plots) plot.destroy();
    plots = drawIn(figure, data);
  };
  let width = sheet.clientWidth;
  new ResizeObserver(() => {
    if (sheet.clientWidth === width || sheet.clientWidth === 0) return;
    width = sheet.clientWidth;
    for (const [plot, height] of [[plots[0], UPPER], [plots[1], LOWER]]) plot.setSize({ width, height });
  }).observe(sheet);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", redraw);
  new MutationObserver(redraw).observe(document.documentElement, { attributeFilter: ["data-theme"] });
}

// Without network, or without the plot's own script, the server's drawing stays.
if (globalThis.uPlot) {
  for (const figure of document.querySelectorAll("[data-curve-plot]")) begin(figure).catch(() => {});
}
