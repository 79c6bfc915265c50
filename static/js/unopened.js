// The unload page, fetched once it stands: one blank tile and what stands on each of the others, so that a closed tile opens
// without a network too, is judged, kept on this phone (judged-waiting.js) and followed by the next.

import { setValue } from "./field-values.js";
import { waitingList } from "./waiting-list.js";

const list = document.querySelector("[data-unopened]");
const { waiting } = waitingList("judged");
const REST_MS = 1500;
// A network that opens no tile in this time is taken for none.
const PATIENCE_MS = 5000;
let known = null; // {blank, copied, tiles: {label: zones}, last}
let resting = 0;

async function fetchAnew() {
  const answer = await fetch(list.dataset.unopened, { headers: { Accept: "application/json" } });
  if (!answer.ok || answer.redirected) return;
  known = await answer.json();
  list.dataset.opensWithout = "";
}

// After the page, and after what is judged on it: nobody waits for what may be needed later.
function fetchSoon() {
  clearTimeout(resting);
  delete list.dataset.opensWithout;
  resting = setTimeout(() => fetchAnew().catch(() => {}), REST_MS);
}

// Made from the blank tile ---------------------------------------------------------------------------------------

const NAMES = ["name", "id", "for", "data-zone", "aria-describedby"];

// The blank zone's fields are z0-surface, z0-run and so on; this one's begin with its own place.
function rename(zone, position) {
  for (const part of [zone, ...zone.querySelectorAll("*")]) {
    for (const name of NAMES) {
      const value = part.getAttribute(name);
      if (value) part.setAttribute(name, value.replace(/z0(?=-|$)/g, `z${position}`));
    }
  }
}

function zoneOf(blank, [position, name, stack, isTextured, values]) {
  const zone = blank.cloneNode(true);
  zone.querySelector(".judge-name strong").textContent = name;
  zone.querySelector(".judge-name .note").textContent = stack;
  const above = zone.querySelector("[data-fill-above]");
  if (above) above.value = position;
  if (!isTextured) zone.querySelector("[name$='-breaking']")?.closest(".judge-line").remove();
  for (const [name, value] of Object.entries(values)) {
    for (const field of zone.querySelectorAll(`[name$="-${name}"]`)) setValue(field, value);
  }
  rename(zone, position);
  return zone;
}

const zonesOf = (label) => known?.tiles[label] ?? [];
const firing = list?.dataset.unload;
const waitingOf = (label) => waiting().find(({ judge }) => judge === `${firing} ${label}`);

// The tile this person judged last, on this phone or before; not this one itself.
function lastBut(label) {
  const onPhone = waiting().filter(({ judge }) => judge.startsWith(`${firing} `));
  const labels = [known.last, ...onPhone.map(({ judge }) => judge.split(" ").at(-1))];
  return labels.filter((each) => each && each !== label && zonesOf(each).length).at(-1);
}

// What the last tile was judged to be, by the zones of the same name.
function likeLast(last, zones) {
  const sent = waitingOf(last)?.values;
  const values = {};
  for (const [position, name] of zones) {
    const there = zonesOf(last).find((zone) => zone[1] === name);
    for (const field of there ? known.copied : []) {
      values[`z${position}-${field}`] = (sent ? sent[`z${there[0]}-${field}`] : there[4][field]) ?? "";
    }
  }
  return values;
}

function setLast(button, label, zones) {
  const last = lastBut(label);
  const values = last ? likeLast(last, zones) : {};
  if (Object.keys(values).length === 0) {
    button.remove();
    return;
  }
  button.textContent = `Same as ${last}`;
  button.value = last;
  button.dataset.fill = JSON.stringify(values);
}

function pieceFor(row) {
  const { label } = row.dataset;
  const zones = zonesOf(label);
  const holder = document.createElement("template");
  holder.innerHTML = known.blank;
  const piece = holder.content.firstElementChild;
  const form = piece.querySelector("form[data-judge]");
  const [first, other] = form.querySelectorAll(".judge-zone");
  form.querySelector(".judge-zones").replaceChildren(...zones.map((zone, at) => zoneOf(at === 0 ? first : other, zone)));
  const address = list.dataset.unopened.replace(/[^/]+\/$/, `${label}/judge/`);
  form.setAttribute("action", address);
  form.setAttribute("hx-post", address);
  form.setAttribute("hx-target", `#${row.querySelector("[data-body]").id}`);
  form.dataset.judge = `${firing} ${label}`;
  setLast(form.querySelector("[name=last]"), label, zones);
  piece.setAttribute("aria-label", `Tile ${label}`);
  return piece;
}

// Opening --------------------------------------------------------------------------------------------------------

const canOpen = (row) => Boolean(row) && zonesOf(row.dataset.label).length > 0;

function open(row) {
  const piece = pieceFor(row);
  row.querySelector("[data-body]").replaceChildren(piece);
  history.replaceState(history.state, "", `?at=${row.dataset.label}`);
  window.htmx.process(piece);
  window.htmx.trigger(piece, "htmx:load");
}

const isLeft = (row) => canOpen(row) && !row.querySelector(".unload-summary--judged") && !waitingOf(row.dataset.label);

// The next tile with something to judge, going on below this one and then from the top.
function nextAfter(row) {
  const rows = [...list.querySelectorAll("[data-row]")];
  const at = rows.indexOf(row);
  return [...rows.slice(at + 1), ...rows.slice(0, at)].find(isLeft);
}

// The tile that was to be opened opens from here; one that was judged, and waits, is followed by the next.
function goOnWithout(event) {
  const { elt } = event.detail;
  const row = elt.closest?.("[data-row]");
  if (!row || !list.contains(row)) return;
  const isJudged = elt.matches("form[data-judge]");
  const next = isJudged ? waitingOf(row.dataset.label) && nextAfter(row) : elt.matches(".unload-summary") && row;
  if (!canOpen(next)) return;
  event.stopPropagation(); // nothing is lost, and nothing is to be tried again
  if (isJudged) row.querySelector("[data-body]").replaceChildren();
  if (isJudged) row.querySelector(".unload-summary").removeAttribute("aria-expanded");
  open(next);
}

function waitNoLonger(event) {
  const { elt } = event.detail;
  if (elt.matches?.(".unload-summary") && canOpen(elt.closest("[data-row]"))) event.detail.timeout = PATIENCE_MS;
}

if (list) {
  document.addEventListener("htmx:configRequest", waitNoLonger);
  document.addEventListener("htmx:sendError", goOnWithout, true);
  document.addEventListener("htmx:timeout", goOnWithout, true);
  document.addEventListener("htmx:afterRequest", ({ detail }) => {
    if (detail.successful && detail.requestConfig.verb !== "get") fetchSoon();
  });
  window.addEventListener("online", fetchSoon);
  if (document.readyState === "complete") fetchSoon();
  else window.addEventListener("load", fetchSoon);
}
