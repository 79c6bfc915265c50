// Takes photos from forms marked data-photo-queue, shows them at once, and sends them one a request in the background.
// Nothing waits for a photo: the page goes on, and what could not be sent yet is sent from whatever page comes next.
// A form hears of each of its photos by bubbling events: photo:queued, photo:kept (detail: the server's answer, when it is
// stored) and photo:settled (when it is known to be filed or in the sorting tray).

import { dropped, sorted } from "./photo-folder.js";
import { button, draw, element, formOf as formShowing, isShown, putAway as takeFromList, show, tell as say, tellLeftOut } from "./photo-list.js";
import { RENEW_MS, all, amend, bytesOf, claim, isLasting, keep, remove } from "./photo-shelf.js";
import { send } from "./photo-send.js";
import { follow } from "./photo-states.js";

const AT_ONCE = 2;
const FIRST_WAIT_MS = 500;
const LONGEST_WAIT_MS = 60_000;

const holder = `${Date.now()}-${Math.random()}`;
const here = matchMedia("(pointer: coarse)").matches ? "on this phone" : "on this computer";
const sending = new Set();
const forThisPageOnly = new Set();
let unsent = [];
let isSignedOut = false;
let timer;

// What is said of each photo ---------------------------------------------------------------------------------------

function stateOf(note) {
  if (note.refused) return "refused";
  if (sending.has(note.id)) return "sending";
  return note.failures ? "again" : "waiting";
}

function wordsFor(note, share = 0) {
  const state = stateOf(note);
  if (state === "refused") return `${note.name} was not kept. ${note.refused}`;
  if (state === "sending") return share ? `sending, ${Math.round(share * 100)} %` : "sending";
  const place = forThisPageOnly.has(note.id) ? "on this page only: leave it open" : here;
  if (isSignedOut) return `${place}: sign in again to send it`;
  return state === "again" ? `${place}, not sent yet. ${note.trouble ?? ""}`.trim() : place;
}

function tell(note, share = 0) {
  const canBeTried = note.failures && !sending.has(note.id);
  const press = note.refused ? ["Put away", () => putAway(note)] : canBeTried ? ["Send now", sendAllNow] : null;
  say(note.id, stateOf(note), wordsFor(note, share), press);
}

function linkTo(page, words) {
  const link = element("a", "camera-kept", words);
  link.href = page;
  return link;
}

// Stored is not yet filed: the studio's machine looks for the tile's code after it has answered.
function tellKept(note, answer, form, blob) {
  const { page, sha256 } = answer.photo;
  const settled = (state) => {
    tellSettled(note, page, state);
    form?.dispatchEvent(new CustomEvent("photo:settled", { bubbles: true, detail: { ...answer, ...state } }));
  };
  if (answer.state === "elsewhere") tellElsewhere(note, answer, form, blob);
  else if (answer.state === "filed") settled({ state: "filed", tile: answer.tile });
  else if (answer.state === "damaged") settled({ state: "damaged", reason: answer.reason });
  else {
    say(note.id, "stored", linkTo(page, "stored"));
    const address = form?.dataset.photoStates;
    if (address) follow(address, sha256, settled);
  }
}

// The same photo for a second tile is a slip more often than not: it goes there when asked for once more.
function tellElsewhere(note, answer, form, blob) {
  const again = () => {
    takeFromList(note.id);
    queue(form, { ...note, id: newId(), fields: [...note.fields, ["anyway", "on"]], failures: 0, retryAt: 0, heldUntil: 0 }, blob);
  };
  say(note.id, "elsewhere", [linkTo(answer.photo.page, "Not put here."), ` ${answer.reason}`], form && ["Put it here too", again]);
}

function tellSettled(note, page, { state, tile, reason }) {
  const words = { filed: `kept with ${tile}`, tray: "kept, in the sorting tray", damaged: "stored, but damaged" }[state];
  say(note.id, state, reason ? [linkTo(page, words), ` ${reason}`] : linkTo(page, words));
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
  const elsewhere = unsent.filter((note) => note.refused && !isShown(note.id));
  const isOffline = !navigator.onLine && forms().length > 0 && !("openedOffline" in document.documentElement.dataset);
  bar.hidden = waiting.length + elsewhere.length === 0 && !isOffline;
  barWords.textContent = [
    isOffline ? `No network: what you photograph stays ${here}.` : "",
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
    const blob = outcome.answer.state === "elsewhere" ? await bytesOf(note.id) : null;
    await remove(note.id);
    forThisPageOnly.delete(note.id);
    unsent = unsent.filter((other) => other.id !== note.id);
    const form = formOf(note);
    tellKept(note, outcome.answer, form, blob);
    form?.dispatchEvent(new CustomEvent("photo:kept", { bubbles: true, detail: outcome.answer }));
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
  takeFromList(note.id);
  await look();
}

// Taking photos ----------------------------------------------------------------------------------------------------

function fieldsOf(form) {
  return [...new FormData(form)].filter(([name, value]) => typeof value === "string" && !["csrfmiddlewaretoken", "next"].includes(name));
}

const isSame = (note, form) => note.action === form.action && JSON.stringify(note.fields) === JSON.stringify(fieldsOf(form));
const forms = () => [...document.querySelectorAll("form[data-photo-queue]")];
const formOf = (note) => formShowing(note.id) ?? forms().find((form) => isSame(note, form));

const newId = () => `${Date.now()}-${Math.random()}`;

async function queue(form, note, file) {
  show(note.id, note.name, form);
  tell(note);
  if (!(await keep(note, file))) forThisPageOnly.add(note.id);
  form.dispatchEvent(new CustomEvent("photo:queued", { bubbles: true, detail: { id: note.id } }));
  tell(note);
  sendWhatIsDue();
  draw(note.id, file);
}

async function take(form, { pictures, leftOut }) {
  tellLeftOut(form, leftOut);
  for (const file of pictures) {
    const keptAt = performance.timeOrigin + performance.now();
    await queue(form, { id: newId(), action: form.action, fields: fieldsOf(form), name: file.name || "photo.jpg", keptAt }, file);
  }
}

// One photo of an unknown kind is sent all the same, to be told what it is; of a folder only pictures are.
function takeFrom(input) {
  const files = [...input.files];
  const chosen = input.webkitdirectory ? sorted(files) : { pictures: files, leftOut: [] };
  const taken = take(input.form, chosen);
  input.value = ""; // so that the same photo can be chosen again
  openCameraAgain(input);
  return taken;
}

// Where a browser still counts the tap that opened the camera, the camera opens again by itself; most do not, and then the
// button lies under the thumb. Putting the camera away without a photo ends it.
function openCameraAgain(input) {
  if ("burst" in input.form.dataset && navigator.userActivation?.isActive) input.click();
}

document.addEventListener("change", (event) => {
  if (event.target.matches?.("form[data-photo-queue] input[type=file]")) takeFrom(event.target);
});

document.addEventListener("submit", (event) => {
  if (!event.target.matches("form[data-photo-queue]")) return;
  event.preventDefault();
  for (const input of event.target.querySelectorAll("input[type=file]")) if (input.files.length) takeFrom(input);
});

// A picture or a folder dragged onto the page goes to the form it is dropped on; the tray's form takes what falls beside it.
function dropTarget(event) {
  if (![...(event.dataTransfer?.types ?? [])].includes("Files")) return null;
  return event.target.closest?.("form[data-photo-queue]") ?? document.querySelector("form[data-photo-queue][data-takes-drops]");
}

document.addEventListener("dragover", (event) => {
  if (dropTarget(event)) event.preventDefault();
});

document.addEventListener("drop", async (event) => {
  const form = dropTarget(event);
  if (!form) return;
  event.preventDefault();
  take(form, await dropped(event.dataTransfer));
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
    show(note.id, note.name, form);
    tell(note);
    bytesOf(note.id).then((blob) => draw(note.id, blob));
  }
  sendWhatIsDue();
}

window.addEventListener("online", sendAllNow);
window.addEventListener("offline", tellAll);
document.addEventListener("visibilitychange", () => {
  if (!document.hidden) (isSignedOut ? sendAllNow : sendWhatIsDue)();
});
if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", resume);
else resume();
