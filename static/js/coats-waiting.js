// A coat tapped while the network is away stays on this phone, through a reload too, until the studio's machine has answered;
// it is sent with how long it waited, as a coat dries from the tap on. Sent twice it is one coat.

import { isAnswered, valuesOf, waitingList } from "./waiting-list.js";

const { waiting, keep, drop } = waitingList("coats");
const AGAIN_MS = 15_000;
const notice = document.querySelector("[data-coats-waiting]");
let isSending = false;

function put(form) {
  const action = new URL(form.action).pathname;
  const { ago_s: _, ...values } = valuesOf(form);
  const coat = { action, values, words: form.dataset.coat, tappedAt: Date.now() };
  if (!waiting().some((each) => each.action === action)) keep([...waiting(), coat]);
}

// One sentence for what waits; a tap that is on its way is not worth one.
function say() {
  const coats = waiting();
  notice.hidden = coats.length === 0;
  notice.querySelector("[data-coats-words]").textContent =
    `On this phone until the network is back: ${coats.map((coat) => coat.words).join("; ")}.`;
}

// However it is sent, by hand or by itself, a tap says how long it waited.
document.addEventListener("htmx:configRequest", ({ detail }) => {
  const action = detail.path.split("?")[0];
  const coat = detail.verb === "post" && waiting().find((each) => each.action === action);
  if (coat) detail.parameters.ago_s = Math.max(0, Math.round((Date.now() - coat.tappedAt) / 1000));
});

document.addEventListener("htmx:beforeRequest", ({ detail }) => {
  if (detail.elt.matches("form[data-coat]")) put(detail.elt);
});

document.addEventListener("htmx:afterRequest", ({ detail }) => {
  const action = detail.pathInfo.requestPath.split("?")[0];
  if (detail.requestConfig.verb !== "post" || !waiting().some((coat) => coat.action === action)) return;
  if (isAnswered(detail.xhr, "/glazing/", [404, 409, 422])) drop(action);
  say();
});

// In the order of the taps, each after the one before: a second coat is refused until the first is on.
async function send() {
  if (isSending || !navigator.onLine || !waiting().length) return;
  isSending = true;
  try {
    for (const { action, values } of waiting()) {
      await window.htmx.ajax("POST", action + location.search, { target: "#glazing", swap: "outerHTML", values });
      if (waiting().some((coat) => coat.action === action)) break;
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
