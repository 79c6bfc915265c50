// A coat tapped while the network is away stays on this phone, through a reload too, until the studio's machine has answered;
// it is sent with how long it waited, as a coat dries from the tap on. Sent twice it is one coat.

import { drop as clear, keep as shelve, read } from "./browser-shelf.js";
import { person } from "./signed-in.js";

const WAITING = `coats waiting for ${person}`;
const AGAIN_MS = 15_000;
const notice = document.querySelector("[data-coats-waiting]");
let isSending = false;

const waiting = () => read(WAITING) ?? [];

function keep(coats) {
  if (coats.length) shelve(WAITING, coats);
  else clear(WAITING);
}

const drop = (action) => keep(waiting().filter((coat) => coat.action !== action));

function put(form) {
  const action = new URL(form.action).pathname;
  const { csrfmiddlewaretoken: _, ago_s: __, ...values } = Object.fromEntries(new FormData(form));
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

// Whether the studio's machine has taken it in or refused it for good, in words that its answer shows.
function isAnswered(xhr) {
  const isOurs = xhr.status > 0 && new URL(xhr.responseURL || location.href).pathname.startsWith("/glazing/");
  return isOurs && (xhr.status < 400 || [404, 409, 422].includes(xhr.status));
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
  if (isAnswered(detail.xhr)) drop(action);
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
