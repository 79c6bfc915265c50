// Keeps what is typed in a form with data-draft in this browser, so that closing it loses nothing; on return the draft
// is offered. Every page has a mark of its own, so two pages open at once do not write over each other. Taking a draft
// up asks the server to show the page with it.

import { drop, keep as shelve, namesBeginning, read as readShelf } from "./browser-shelf.js";
import { clock } from "./clock.js";

const form = document.querySelector("form[data-draft]");
const offer = form.querySelector("[data-draft-offer]");
const PREFIX = `draft:${form.dataset.draft}:`;
const NOT_KEPT = new Set(["csrfmiddlewaretoken", "do"]);
const KEPT_MS = 30 * 86_400_000;

const nameOf = (mark) => PREFIX + mark;
const mark = form.elements.page.value;
const fieldsOnPage = () =>
  [...new FormData(form)].filter(([name, value]) => !NOT_KEPT.has(name) && typeof value === "string");
const untouched = JSON.stringify(fieldsOnPage());

function read(name) {
  const draft = readShelf(name);
  return Array.isArray(draft?.fields) && Number.isFinite(draft.at) ? draft : null;
}

// Drafts of this form that were neither kept nor grew old, newest first.
function drafts() {
  const sent = form.dataset.draftSent.split(",").map(nameOf);
  const found = [];
  for (const name of namesBeginning(PREFIX)) {
    const draft = read(name);
    if (!draft || sent.includes(name) || Date.now() - draft.at > KEPT_MS) drop(name);
    else if (name !== nameOf(mark)) found.push({ name, ...draft });
  }
  return found.sort((one, other) => other.at - one.at);
}

let waiting = 0;
function keep() {
  clearTimeout(waiting);
  waiting = 0;
  const fields = fieldsOnPage();
  if (JSON.stringify(fields) === untouched && !("draftReturned" in form.dataset)) return;
  shelve(nameOf(mark), { at: Date.now(), fields });
}

function keepSoon() {
  clearTimeout(waiting);
  waiting = setTimeout(keep, 400);
}

function takeUp({ fields }) {
  const carrier = document.createElement("form");
  carrier.method = "post";
  carrier.hidden = true;
  const token = form.elements.csrfmiddlewaretoken.value;
  for (const [name, value] of [...fields, ["csrfmiddlewaretoken", token], ["do", "show"]]) {
    const field = document.createElement("textarea");
    field.name = name;
    field.value = value;
    carrier.append(field);
  }
  document.body.append(carrier);
  carrier.submit();
}

function propose(draft) {
  offer.hidden = !draft;
  if (draft) offer.querySelector("[data-draft-words]").textContent = `Draft from ${clock(draft.at)}, not kept yet.`;
}

const waitingDrafts = drafts();
propose(waitingDrafts[0]);
offer.querySelector("[data-draft-take]").addEventListener("click", () => takeUp(waitingDrafts[0]));
offer.querySelector("[data-draft-drop]").addEventListener("click", () => {
  drop(waitingDrafts.shift().name);
  propose(waitingDrafts[0]);
});
for (const kind of ["input", "change", "grid-changed"]) form.addEventListener(kind, keepSoon);
window.addEventListener("pagehide", () => {
  if (waiting) keep();
});
