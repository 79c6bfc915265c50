// The photos of this page as a list in the form they were taken with: a small picture, what is to be said, a button.
// Knows nothing of sending.

const THUMBNAIL_PX = 240;
// Above this many at once small pictures would cost more than they tell; the count tells.
const MANY = 30;

const items = new Map(); // id → list item

export function element(name, className, words = "") {
  const made = document.createElement(name);
  made.className = className;
  made.textContent = words;
  return made;
}

export function button(words, whenPressed) {
  const made = element("button", "button camera-again", words);
  made.type = "button";
  made.addEventListener("click", whenPressed);
  return made;
}

export const isShown = (id) => items.has(id);
export const formOf = (id) => items.get(id)?.closest("form");

export function show(id, title, form) {
  const list = form?.querySelector("[data-photo-queue-list]");
  if (!list || items.has(id)) return;
  const item = element("li", "camera-photo");
  item.append(element("span", "camera-frame"), element("span", "camera-words"));
  item.title = title;
  list.prepend(item);
  items.set(id, item);
  list.toggleAttribute("data-many", list.childElementCount > MANY);
}

// `said` are words or nodes; `press` is [words, what to do] or nothing.
export function tell(id, state, said, press = null) {
  const item = items.get(id);
  if (!item) return;
  item.dataset.state = state;
  item.querySelector(".camera-words").replaceChildren(...[said].flat());
  const there = item.querySelector("button");
  if ((there?.textContent ?? "") !== (press?.[0] ?? "")) {
    there?.remove();
    if (press) item.append(button(...press));
  }
  count(item.closest("form"));
}

export function putAway(id) {
  const form = formOf(id);
  items.get(id)?.remove();
  items.delete(id);
  if (form) count(form);
}

// How many are where --------------------------------------------------------------------------------------------------

const here = matchMedia("(pointer: coarse)").matches ? "on this phone" : "on this computer";
const PLACES = [
  [["waiting", "again"], here],
  [["sending"], "sending"],
  [["stored"], "stored"],
  [["filed"], "with their tile"],
  [["elsewhere"], "on another tile already"],
  [["tray"], "in the sorting tray"],
  [["refused", "damaged"], "not usable"],
];

function count(form) {
  const place = form.querySelector("[data-photo-queue-count]");
  if (!place) return;
  const states = [...form.querySelectorAll(".camera-photo")].map((item) => item.dataset.state);
  const parts = PLACES.map(([of, words]) => [states.filter((state) => of.includes(state)).length, words]);
  const told = parts.filter(([number]) => number).map(([number, words]) => `${number} ${words}`);
  place.hidden = states.length < 2;
  place.textContent = `${states.length} photos: ${told.join(", ")}`;
}

// Small pictures ------------------------------------------------------------------------------------------------------

async function thumbnail(blob) {
  const canvas = element("canvas", "camera-picture");
  try {
    const picture = await createImageBitmap(blob);
    const scale = Math.min(1, THUMBNAIL_PX / Math.max(picture.width, picture.height));
    canvas.width = Math.max(1, picture.width * scale);
    canvas.height = Math.max(1, picture.height * scale);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
  } catch {
    canvas.hidden = true; // no picture this browser can draw; the studio's machine will say what it is
  }
  return canvas;
}

// One after the other: decoding many at once would take the phone's memory from the camera.
let drawing = Promise.resolve();

export function draw(id, blob) {
  drawing = drawing.then(async () => {
    const item = items.get(id);
    if (item && !item.parentElement.matches("[data-many]")) item.querySelector(".camera-frame").append(await thumbnail(blob));
  });
}

// What was not taken along -------------------------------------------------------------------------------------------

export function tellLeftOut(form, leftOut) {
  form.querySelector(".camera-left-out")?.remove();
  if (!leftOut.length) return;
  const place = element("details", "camera-left-out");
  place.open = leftOut.length <= 5;
  const list = element("ul", "");
  list.append(...leftOut.map(({ name, reason }) => element("li", "", `${name}: ${reason}`)));
  place.append(element("summary", "", leftOut.length === 1 ? "One file was left out" : `${leftOut.length} files were left out`), list);
  form.querySelector("[data-photo-queue-list]").before(place);
}
