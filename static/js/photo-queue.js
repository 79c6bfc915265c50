// Takes photos from forms marked data-photo-queue, shows them at once, and sends them one a request in the background.
// Nothing waits for a photo: the page goes on, and what could not be sent yet is sent from whatever page comes next.
// A form hears of each of its photos by the bubbling events photo:queued and photo:kept (detail: the server's answer).

import { RENEW_MS, all, amend, bytesOf, claim, isLasting, keep, remove } from "./photo-shelf.js";
import { send } from "./photo-send.js";

const AT_ONCE = 2;
const FIRST_WAIT_MS = 2_000;
const LONGEST_WAIT_MS = 60_000;
const THUMBNAIL_PX = 240;

const holder = `${Date.now()}-${Math.random()}`;
const here = matchMedia("(pointer: coarse)").matches ? "on this phone" : "on this computer";
const shown = new Map(); // id → the list item of a photo of this page
const sending = new Set();
const forThisPageOnly = new Set();
let unsent = [];
let isSignedOut = false;
let timer;

// What is said of each photo ---------------------------------------------------------------------------------------

function element(name, className, words = "") {
  const made = document.createElement(name);
  made.className = className;
  made.textContent = words;
  return made;
}

function button(words, whenPressed) {
  const made = element("button", "button camera-again", words);
  made.type = "button";
  made.addEventListener("click", whenPressed);
  return made;
}

function stateOf(note) {
  if (note.refused) return "refused";
  if (sending.has(note.id)) return "sending";
  return note.failures ? "again" : "waiting";
}

function wordsFor(note, share) {
  const state = stateOf(note);
  if (state === "refused") return `${note.name} was not kept. ${note.refused}`;
  if (state === "sending") return share ? `sending, ${Math.round(share * 100)} %` : "sending";
  const place = forThisPageOnly.has(note.id) ? "on this page only: leave it open" : here;
  if (isSignedOut) return `${place}: sign in again to send it`;
  return state === "again" ? `${place}, not sent yet. ${note.trouble ?? ""}`.trim() : place;
}

function tell(note, share = 0) {
  const item = shown.get(note.id);
  if (!item) return;
  item.dataset.state = stateOf(note);
  item.querySelector("[data-words]").textContent = wordsFor(note, share);
  const wanted = note.refused ? "Put away" : note.failures && !sending.has(note.id) ? "Send now" : "";
  const there = item.querySelector("button");
  if ((there?.textContent ?? "") === wanted) return;
  there?.remove();
  if (wanted) item.append(button(wanted, note.refused ? () => putAway(note) : sendAllNow));
}

function tellKept(note, answer) {
  const item = shown.get(note.id);
  if (!item) return;
  item.dataset.state = answer.state;
  item.querySelector("button")?.remove();
  const words = item.querySelector("[data-words]");
  const link = element("a", "camera-kept", answer.state === "filed" ? `kept with ${answer.tile}` : "kept, in the sorting tray");
  link.href = answer.photo.page;
  words.replaceChildren(link);
  if (answer.reason) words.append(` ${answer.reason}`);
}

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

function show(note, form) {
  const list = form?.querySelector("[data-photo-queue-list]");
  if (!list || shown.has(note.id)) return;
  const item = element("li", "camera-photo");
  item.append(element("span", "camera-frame"), element("span", "camera-words"));
  item.lastChild.dataset.words = "";
  item.title = note.name;
  list.prepend(item);
  shown.set(note.id, item);
  tell(note);
}

async function draw(note, blob) {
  shown.get(note.id)?.querySelector(".camera-frame").append(await thumbnail(blob));
}

// The notice that photos are still here ----------------------------------------------------------------------------

const bar = element("aside", "camera-bar");
bar.setAttribute("aria-label", "Photos not sent yet");
bar.hidden = true;
const barWords = element("p", "camera-bar-words");
barWords.setAttribute("role", "status");
const barList = element("ul", "camera-bar-list");
const signIn = element("a", "button", "Sign in");
signIn.target = "_blank";
bar.append(barWords, signIn, button("Send now", sendAllNow), barList);

function count(number, words) {
  return `${number} ${number === 1 ? "photo" : "photos"} ${words}`;
}

function tellAll() {
  const waiting = unsent.filter((note) => !note.refused);
  const elsewhere = unsent.filter((note) => note.refused && !shown.has(note.id));
  bar.hidden = waiting.length + elsewhere.length === 0;
  barWords.textContent = [
    waiting.length ? count(waiting.length, `still ${here}${sending.size ? `, sending ${sending.size}` : ""}.`) : "",
    isSignedOut && waiting.length ? "Sign in again to send them." : "",
  ].join(" ").trim();
  signIn.hidden = !isSignedOut;
  bar.querySelector("button").hidden = waiting.length === 0 || sending.size > 0;
  barList.replaceChildren(...elsewhere.map(refusedLine));
}

function refusedLine(note) {
  const line = element("li", "camera-bar-refused");
  line.append(element("span", "", wordsFor(note)), button("Put away", () => putAway(note)));
  return line;
}

// Sending ----------------------------------------------------------------------------------------------------------

const isDue = (note) => !note.refused && !sending.has(note.id) && (note.retryAt ?? 0) <= Date.now();

async function look() {
  unsent = await all();
  for (const note of unsent) if (!sending.has(note.id)) tell(note);
  tellAll();
}

async function sendWhatIsDue() {
  clearTimeout(timer);
  await look();
  for (const note of unsent.filter(isDue)) {
    if (sending.size >= AT_ONCE || isSignedOut) break;
    sending.add(note.id);
    sendOne(note);
  }
  tellAll();
  const next = Math.min(...unsent.filter((note) => !note.refused && !isDue(note)).map((note) => note.retryAt ?? Infinity));
  if (Number.isFinite(next) && !isSignedOut) timer = setTimeout(sendWhatIsDue, Math.max(500, next - Date.now()));
}

async function sendOne(note) {
  let renewal;
  try {
    if (!(await claim(note.id, holder))) {
      await wait(note, FIRST_WAIT_MS * 2);
      return;
    }
    renewal = setInterval(() => claim(note.id, holder), RENEW_MS);
    tell(note);
    const outcome = await send(note, await bytesOf(note.id), (share) => tell(note, share));
    await settle(note, outcome);
  } catch {
    await wait(note, FIRST_WAIT_MS);
  } finally {
    clearInterval(renewal);
    sending.delete(note.id);
    sendWhatIsDue();
  }
}

async function settle(note, outcome) {
  if (outcome.kind === "kept") {
    await remove(note.id);
    forThisPageOnly.delete(note.id);
    unsent = unsent.filter((other) => other.id !== note.id);
    tellKept(note, outcome.answer);
    formOf(note)?.dispatchEvent(new CustomEvent("photo:kept", { bubbles: true, detail: outcome.answer }));
  } else if (outcome.kind === "refused") {
    note.refused = outcome.reason;
    await amend(note.id, { refused: outcome.reason });
  } else if (outcome.kind === "signed-out") {
    isSignedOut = true;
    await amend(note.id, { heldUntil: 0 });
  } else {
    note.failures = (note.failures ?? 0) + 1;
    note.trouble = outcome.reason;
    const waitMs = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** (note.failures - 1));
    await amend(note.id, { failures: note.failures, trouble: note.trouble });
    await wait(note, waitMs * (0.75 + Math.random() / 2));
  }
}

async function wait(note, waitMs) {
  note.retryAt = Date.now() + waitMs;
  await amend(note.id, { retryAt: note.retryAt, heldUntil: 0 });
}

async function sendAllNow() {
  isSignedOut = false;
  await Promise.all(unsent.filter((note) => !note.refused).map((note) => amend(note.id, { retryAt: 0 })));
  sendWhatIsDue();
}

async function putAway(note) {
  await remove(note.id);
  shown.get(note.id)?.remove();
  shown.delete(note.id);
  await look();
}

// Taking photos ----------------------------------------------------------------------------------------------------

function fieldsOf(form) {
  return [...new FormData(form)].filter(([name, value]) => typeof value === "string" && !["csrfmiddlewaretoken", "next"].includes(name));
}

const isSame = (note, form) => note.action === form.action && JSON.stringify(note.fields) === JSON.stringify(fieldsOf(form));
const forms = () => [...document.querySelectorAll("form[data-photo-queue]")];
const formOf = (note) => shown.get(note.id)?.closest("form") ?? forms().find((form) => isSame(note, form));

async function take(form, files) {
  for (const file of files) {
    const note = {
      id: `${Date.now()}-${Math.random()}`,
      action: form.action,
      fields: fieldsOf(form),
      name: file.name || "photo.jpg",
      keptAt: performance.timeOrigin + performance.now(),
    };
    show(note, form);
    if (!(await keep(note, file))) forThisPageOnly.add(note.id);
    form.dispatchEvent(new CustomEvent("photo:queued", { bubbles: true, detail: { id: note.id } }));
    tell(note);
    sendWhatIsDue();
    await draw(note, file);
  }
}

function takeFrom(input) {
  const files = [...input.files];
  input.value = ""; // so that the same photo can be chosen again, and the camera opened at once
  return take(input.form, files);
}

document.addEventListener("change", (event) => {
  if (event.target.matches?.("form[data-photo-queue] input[type=file]")) takeFrom(event.target);
});

document.addEventListener("submit", (event) => {
  if (!event.target.matches("form[data-photo-queue]")) return;
  event.preventDefault();
  takeFrom(event.target.querySelector("input[type=file]"));
});

// A picture dragged onto the page goes to the form it is dropped on; the tray's form takes what falls beside it.
function dropTarget(event) {
  if (![...(event.dataTransfer?.types ?? [])].includes("Files")) return null;
  return event.target.closest?.("form[data-photo-queue]") ?? document.querySelector("form[data-photo-queue][data-takes-drops]");
}

document.addEventListener("dragover", (event) => {
  if (dropTarget(event)) event.preventDefault();
});

document.addEventListener("drop", (event) => {
  const form = dropTarget(event);
  if (!form) return;
  event.preventDefault();
  take(form, event.dataTransfer.files);
});

// Leaving ----------------------------------------------------------------------------------------------------------

// Going on within the studio's pages is safe when the photos outlive the page; leaving altogether asks first.
let goesOnWithin = false;

function noteWhereTo(event) {
  const address = event.target.closest?.("a[href]")?.href ?? (event.type === "submit" ? event.target.action : "");
  goesOnWithin = address.startsWith(`${location.origin}/`);
  setTimeout(() => (goesOnWithin = false), 1000);
}

document.addEventListener("click", noteWhereTo, true);
document.addEventListener("submit", noteWhereTo, true);

window.addEventListener("beforeunload", (event) => {
  const waiting = unsent.filter((note) => !note.refused);
  const isSafe = goesOnWithin && !waiting.some((note) => forThisPageOnly.has(note.id));
  if (waiting.length && !isSafe) event.preventDefault();
});

// Coming back ------------------------------------------------------------------------------------------------------

async function resume() {
  document.body.append(bar);
  signIn.href = document.querySelector("[data-unreached-sign-in]")?.href ?? "/";
  await look();
  for (const note of unsent) {
    const form = formOf(note);
    if (!form) continue;
    show(note, form);
    bytesOf(note.id).then((blob) => draw(note, blob));
  }
  sendWhatIsDue();
}

window.addEventListener("online", sendAllNow);
document.addEventListener("visibilitychange", () => {
  if (!document.hidden) (isSignedOut ? sendAllNow : sendWhatIsDue)();
});
if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", resume);
else resume();
