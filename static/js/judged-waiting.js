// A tile judged while the network is away stays on this phone, through a reload and a closed tab too, until the studio's
// machine has answered. Sent twice it is one judgement; what somebody else judged meanwhile is shown, not overwritten.

import { isAnswered, valuesOf, waitingList } from "./waiting-list.js";

const { waiting, keep, drop } = waitingList("judged");
const AGAIN_MS = 15_000;
const notice = document.querySelector("[data-judged-waiting]");
let isSending = false;

// What was tapped last counts; its place in the order stays.
function put(form) {
  const action = new URL(form.action).pathname;
  const judged = { action, values: valuesOf(form), judge: form.dataset.judge };
  const before = waiting();
  const isThere = before.some((each) => each.action === action);
  keep(isThere ? before.map((each) => (each.action === action ? judged : each)) : [...before, judged]);
}

const isOfThisFiring = ({ judge }) => judge.startsWith(`${document.querySelector("[data-unload]")?.dataset.unload} `);
const labelOf = ({ judge }) => judge.split(" ").at(-1);

const MOST_NAMED = 4;

function namesOf(judged) {
  const labels = judged.map(labelOf);
  const more = labels.length - MOST_NAMED;
  return more > 0 ? `${labels.slice(-MOST_NAMED).join(", ")} and ${more} more` : labels.join(", ");
}

// One sentence for what waits, and a word in each row; a tap that is on its way is not worth one.
function say() {
  const judged = waiting();
  notice.hidden = judged.length === 0;
  notice.querySelector("[data-judged-words]").textContent =
    `Judged, and on this phone until the network is back: ${namesOf(judged)}.`;
  const labels = judged.filter(isOfThisFiring).map(labelOf);
  for (const row of document.querySelectorAll("[data-row]")) {
    row.toggleAttribute("data-kept-here", labels.includes(row.dataset.label));
  }
}

// The draft of a tile that was not open when it was sent.
function forgetDraft({ judge }) {
  sessionStorage.removeItem(`judging ${judge}`);
  rowOf({ judge })?.removeAttribute("data-draft");
}

const rowOf = (judged) => document.querySelector(`[data-row][data-label="${labelOf(judged)}"]`);
const formOf = ({ action }) => [...document.querySelectorAll("form[data-judge]")].find((form) => new URL(form.action).pathname === action);

document.addEventListener("htmx:beforeRequest", ({ detail }) => {
  if (detail.elt.matches("form[data-judge]")) put(detail.elt);
});

document.addEventListener("htmx:afterRequest", ({ detail }) => {
  const action = detail.pathInfo.requestPath.split("?")[0];
  const judged = detail.requestConfig.verb === "post" && waiting().find((each) => each.action === action);
  if (!judged) return;
  if (isAnswered(detail.xhr, "/firings/", [404, 422])) {
    drop(action);
    if (detail.xhr.status === 200) forgetDraft(judged);
  }
  say();
});

// A tile on which somebody tapped on after keeping it is in hand again, and kept by its own button.
function isInHand(judged, form) {
  if (!form || JSON.stringify(valuesOf(form)) === JSON.stringify(judged.values)) return false;
  drop(judged.action);
  say();
  return true;
}

// Sent by itself, which opens no other tile: one may be in hand.
const LATER = { later: "1" };

// One after the other, in the order they were judged; those of another firing wait for its page.
async function send() {
  if (isSending || !navigator.onLine) return;
  isSending = true;
  try {
    for (const judged of waiting().filter(isOfThisFiring)) {
      const form = formOf(judged);
      if (isInHand(judged, form)) continue;
      const body = rowOf(judged)?.querySelector("[data-body]");
      if (!body) continue;
      const values = { ...judged.values, ...LATER };
      await window.htmx.ajax("POST", judged.action, { source: form, target: body, swap: "innerHTML", values });
      if (waiting().some(({ action }) => action === judged.action)) break;
    }
  } catch {
    // Still unreached: the rest waits too, and the next round begins with this one.
  } finally {
    isSending = false;
  }
}

window.addEventListener("online", send);
setInterval(() => notice.hidden || send(), AGAIN_MS);
if (waiting().length) {
  say();
  send();
}
