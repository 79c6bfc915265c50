// Keeps the boxes typed on a clip-board sheet in this browser until the tiles are noted: a reload, a closed tab or an empty
// battery after fifty rows loses nothing. What somebody changed on a tile meanwhile is left as it stands.

import { drop, keep as shelve, read as readShelf } from "./browser-shelf.js";
import { clock } from "./clock.js";
import { person } from "./signed-in.js";

const form = document.querySelector("form[data-sheet-draft]");
const DRAFT = `typed sheet ${person} ${location.pathname}${location.search}`;
const KEPT_MS = 7 * 86_400_000;

const stampOf = (field) => field.closest("li")?.querySelector("[name^=stamp-]")?.value ?? "";
const valueOf = (field) => (field.type === "checkbox" ? field.checked : field.value);

function read() {
  const draft = readShelf(DRAFT);
  return draft && Date.now() - draft.at < KEPT_MS ? draft : { boxes: {} };
}

function keep({ target }) {
  if (!target.name) return;
  const { boxes } = read();
  boxes[target.name] = { value: valueOf(target), stamp: stampOf(target) };
  shelve(DRAFT, { at: Date.now(), boxes });
}

// Boxes that stand on the page and say something else than was typed, of tiles nobody changed.
function toFillIn(boxes) {
  return Object.entries(boxes)
    .map(([name, { value, stamp }]) => ({ field: form.elements[name], value, stamp }))
    .filter(({ field, value, stamp }) => field && stampOf(field) === stamp && valueOf(field) !== value);
}

function fillIn({ at, boxes }) {
  const found = toFillIn(boxes);
  for (const { field, value } of found) {
    if (field.type === "checkbox") field.checked = value;
    else field.value = value;
  }
  if (!found.length) return;
  const notice = form.querySelector("[data-sheet-draft-notice]");
  notice.querySelector("[data-sheet-draft-words]").textContent = `What you typed here until ${clock(at)} and did not keep is filled in again.`;
  notice.hidden = false;
}

form.addEventListener("input", keep);
form.querySelector("[data-sheet-draft-drop]").addEventListener("click", () => {
  drop(DRAFT);
  location.assign(location.href);
});
const draft = read();
// Once all its tiles are noted a sheet is another one.
if (Object.keys(draft.boxes).every((name) => !form.elements[name])) drop(DRAFT);
else fillIn(draft);
