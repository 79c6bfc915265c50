// The unload page: one tile open at a time, answers filled from the zone above or the last tile without asking the
// studio's machine, and what was tapped but not saved kept through a reload or a visit to the camera.

import { setValue } from "./field-values.js";
import { waitingList } from "./waiting-list.js";

const { waiting } = waitingList("judged");
const list = document.querySelector("[data-unload]");

// Filling --------------------------------------------------------------------------------------------------------

const fieldsNamed = (form, name) => [...form.elements].filter((field) => field.name === name);

// Gives fields the values they would have been sent with; a name that is missing counts as empty.
function fill(form, values) {
  for (const [name, value] of Object.entries(values)) {
    for (const field of fieldsNamed(form, name)) {
      setValue(field, value);
      field.dispatchEvent(new Event("change", { bubbles: true }));
    }
  }
}

const isOfAZone = (name) => /-/.test(name);
const isJudged = (name) => isOfAZone(name) && !/-seen$/.test(name);

function answers(form, isAsked = isJudged) {
  const sent = Object.fromEntries(new FormData(form));
  const names = new Set([...form.elements].map((field) => field.name).filter(isAsked));
  return Object.fromEntries([...names].map((name) => [name, sent[name] ?? ""]));
}

// What "same as above" leaves alone: a reading and a remark belong to their own zone.
const isOfItsOwn = (name) => /-(remark|gloss_gu)$/.test(name);

function fillFromAbove(zone) {
  const above = zone.previousElementSibling;
  if (!above?.dataset.zone) return;
  const wanted = Object.entries(answers(zone.form))
    .filter(([name]) => name.startsWith(`${above.dataset.zone}-`) && !isOfItsOwn(name))
    .map(([name, value]) => [name.replace(above.dataset.zone, zone.dataset.zone), value]);
  fill(zone.form, Object.fromEntries(wanted));
}

// Most tiles of several zones look alike: judge the first, give it to all below, tap what differs.
function fillAllBelow(zone) {
  for (let next = zone.nextElementSibling; next?.dataset.zone; next = next.nextElementSibling) fillFromAbove(next);
}

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-fill], [data-fill-above], [data-fill-below]");
  if (!button) return;
  event.preventDefault();
  if ("fillBelow" in button.dataset) fillAllBelow(button.closest("[data-zone]"));
  else if ("fillAbove" in button.dataset) fillFromAbove(button.closest("[data-zone]"));
  else fill(button.form, JSON.parse(button.dataset.fill));
});

// A run is tapped or typed, not both.
document.addEventListener("input", (event) => {
  if (!event.target.matches?.(".run-own") || event.target.value === "") return;
  for (const radio of event.target.closest(".judge-run").querySelectorAll("input[type=radio]")) radio.checked = false;
});
document.addEventListener("change", (event) => {
  if (event.target.matches?.(".judge-run input[type=radio]:checked")) {
    event.target.closest(".judge-run").querySelector(".run-own").value = "";
  }
});

// Drafts ---------------------------------------------------------------------------------------------------------
// A draft holds which judgement was on the screen too, so that what another person judged before a reload is not
// overwritten without a word. Once the studio's machine has answered, what it says stands now counts.

const draftOf = (form) => `judging ${form.dataset.judge}`;

function mark(form, isDraft) {
  form.closest("[data-row]")?.toggleAttribute("data-draft", isDraft);
}

function keepDraft(form) {
  sessionStorage.setItem(draftOf(form), JSON.stringify(answers(form, isOfAZone)));
  mark(form, true);
}

function forgetWhatWasSeen(form) {
  const draft = Object.entries(JSON.parse(sessionStorage.getItem(draftOf(form)) ?? "{}"));
  if (draft.length === 0) return;
  const judged = Object.fromEntries(draft.filter(([name]) => isJudged(name)));
  sessionStorage.setItem(draftOf(form), JSON.stringify(judged));
}

// What was kept on this phone and not sent yet stands on the tile when it is opened again, whoever asks for it.
function takeUpWaiting(form) {
  const judged = waiting().find(({ judge }) => judge === form.dataset.judge);
  if (!judged) return;
  const names = new Set([...form.elements].map((field) => field.name).filter(isOfAZone));
  fill(form, Object.fromEntries([...names].map((name) => [name, judged.values[name] ?? ""])));
}

function takeUpDraft(form, draft) {
  if (draft) fill(form, JSON.parse(draft));
}

for (const kind of ["input", "change"]) {
  document.addEventListener(kind, (event) => {
    const form = event.target.closest?.("form[data-judge]");
    if (form) keepDraft(form);
  });
}

document.addEventListener("htmx:beforeSwap", (event) => {
  const form = event.detail.requestConfig?.elt?.closest?.("form[data-judge]");
  if (!form) return;
  if (event.detail.xhr.status !== 200) {
    forgetWhatWasSeen(form);
    return;
  }
  sessionStorage.removeItem(draftOf(form));
  mark(form, false);
});

// One tile open at a time ----------------------------------------------------------------------------------------

const summaryOf = (row) => row.querySelector(".unload-summary");

function close(row) {
  row.querySelector("[data-body]").replaceChildren();
  summaryOf(row).removeAttribute("aria-expanded");
}

function showOpen(piece, isMoved) {
  const row = piece.closest("[data-row]");
  for (const other of list.querySelectorAll("[data-row]:has([data-open])")) if (other !== row) close(other);
  summaryOf(row).setAttribute("aria-expanded", "true");
  const form = piece.querySelector("form[data-judge]");
  if (form) {
    const draft = sessionStorage.getItem(draftOf(form));
    takeUpWaiting(form);
    takeUpDraft(form, draft);
  }
  for (const button of piece.querySelectorAll("[data-fill-below]")) {
    button.hidden = !button.closest("[data-zone]").nextElementSibling?.dataset.zone;
  }
  if (!isMoved || goToTrouble(piece)) return;
  row.scrollIntoView({ block: "start" });
  piece.focus({ preventScroll: true });
}

// A tile that was not kept shows the zone to look at again: below the first one it would stand off a phone's screen.
function goToTrouble(piece) {
  const said = piece.querySelector("[data-zone] .errorlist");
  if (!said) return false;
  said.closest("[data-zone]").querySelector("input:not([type=hidden])").focus({ preventScroll: true });
  said.scrollIntoView({ block: "center" });
  return true;
}

// What says something of a zone, as `Judgement.says_something` has it: how far it ran says nothing alone.
const TELLS = /-(surface|opacity|remark|runs_off|gloss_gu|flaw_\w+)$/;

function saysSomething(zone) {
  const isTold = ([name, value]) => name.startsWith(`${zone.dataset.zone}-`) && TELLS.test(name) && value.trim() !== "";
  return Object.entries(answers(zone.form)).some(isTold);
}

// Asked before the tile leaves the hand: without a network it would be refused only later, when it hangs on the board.
function askForMore(event) {
  const form = event.target;
  if (!form.matches("form[data-judge]") || event.submitter?.formNoValidate) return;
  for (const earlier of form.querySelectorAll("[data-asks]")) earlier.remove();
  const bare = [...form.querySelectorAll("[data-zone]")].filter((zone) => !saysSomething(zone));
  if (bare.length === 0) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  for (const zone of bare) {
    zone.querySelector(".errorlist")?.remove();
    const words = document.createElement("p");
    words.className = "errorlist";
    words.setAttribute("role", "alert");
    words.dataset.asks = "";
    words.textContent = form.dataset.nothing;
    zone.querySelector(".judge-line").after(words);
  }
  goToTrouble(form);
}

document.addEventListener("submit", askForMore, true);

function closeInsteadOfOpening(event) {
  const row = event.target.closest?.(".unload-summary")?.closest("[data-row]");
  if (!row?.querySelector("[data-open]")) return;
  event.preventDefault();
  event.stopPropagation();
  close(row);
  history.replaceState(history.state, "", location.pathname);
}

function goToNext(event) {
  const next = event.target.closest?.("[data-unload-next]");
  const row = next && document.querySelector(new URL(next.href).hash);
  if (!row) return;
  event.preventDefault();
  if (row.querySelector("[data-open]")) row.scrollIntoView({ block: "start" });
  else summaryOf(row).click();
}

const KEPT_DRAFT = " What you tapped on it is still here.";

// A tile that cannot be opened without a network says so in its row, what can be done meanwhile, and opens when it is back.
function sayUnreached(event) {
  const summary = event.detail.elt.closest?.(".unload-summary");
  const row = summary?.closest("[data-row]");
  if (!row || row.querySelector("[data-open]")) return;
  for (const other of list.querySelectorAll("[data-unreached]")) other.remove();
  const words = document.createElement("p");
  words.className = "note unload-unreached";
  words.dataset.unreached = "";
  words.textContent =
    `${row.dataset.label} opens by itself when the network is back. ` +
    `Photograph it meanwhile: the photo stays on this phone until it can be sent.${"draft" in row.dataset ? KEPT_DRAFT : ""}`;
  row.querySelector("[data-body]").append(words);
}

function openUnreached() {
  list.querySelector("[data-unreached]")?.closest("[data-row]").querySelector(".unload-summary").click();
}

// After a reload the rows show again which of them hold answers that were tapped and not saved.
function markDrafts() {
  const drafts = Object.keys(sessionStorage);
  for (const row of list.querySelectorAll("[data-row]")) {
    row.toggleAttribute("data-draft", drafts.includes(`judging ${list.dataset.unload} ${row.dataset.label}`));
  }
}

if (list) {
  markDrafts();
  document.addEventListener("click", closeInsteadOfOpening, true);
  document.addEventListener("click", goToNext);
  document.addEventListener("htmx:sendError", sayUnreached);
  document.addEventListener("htmx:timeout", sayUnreached);
  window.addEventListener("online", openUnreached);
  document.addEventListener("htmx:load", (event) => {
    const piece = event.detail.elt.closest?.("[data-open]");
    if (piece && list.contains(piece)) showOpen(piece, true);
    document.getElementById("unload-finish")?.querySelector("section")?.scrollIntoView({ block: "center" });
  });
  for (const piece of list.querySelectorAll("[data-open]")) showOpen(piece, false);
}

// A photo that came through shows in its row ---------------------------------------------------------------------

document.addEventListener("photo:kept", (event) => {
  const frame = event.target.closest("[data-row]")?.querySelector("[data-photos]");
  if (!frame || event.detail.state !== "filed") return;
  const picture = new Image();
  picture.alt = "";
  picture.src = event.detail.photo.small;
  frame.replaceChildren(picture);
});

// Typed numbers --------------------------------------------------------------------------------------------------

const find = document.querySelector("[data-unload-find]");

// A number as it is typed, without its dash.
const digitsOf = (words) => words.replace(/\D/g, "");

function narrow(digits) {
  const rows = [...list.querySelectorAll("[data-row]")];
  for (const row of rows) row.hidden = !digitsOf(row.dataset.label).startsWith(digits);
  list.toggleAttribute("data-narrowed", digits !== "");
  const left = rows.filter((row) => !row.hidden);
  find.querySelector("[data-unload-none]").hidden = left.length > 0;
  return left;
}

function open(row) {
  find.reset();
  find.querySelector("input").value = "";
  narrow("");
  document.activeElement?.blur();
  if (row.querySelector("[data-open]")) row.scrollIntoView({ block: "start" });
  else summaryOf(row).click();
}

if (find && list) {
  find.addEventListener("input", (event) => {
    const digits = digitsOf(event.target.value);
    const whole = narrow(digits).find((row) => digitsOf(row.dataset.label) === digits);
    if (whole) open(whole);
  });
  find.addEventListener("submit", (event) => {
    const left = narrow(digitsOf(find.querySelector("input").value));
    if (left.length !== 1) return;
    event.preventDefault();
    open(left[0]);
  });
}
