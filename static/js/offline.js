// Where the studio is served securely: has pages marked with <meta name="keep-offline"> kept on this phone for whoever is signed
// in, and says so when a page was opened without a network. templates/studio/offline/keeper.js does the keeping.

import { clock } from "./clock.js";
import { person } from "./signed-in.js";

const tag = document.querySelector("script[data-offline-keeper]");
const asked = document.querySelector("meta[name=keep-offline]");
const keep = asked?.content ?? "";
// What can be done on the page without a network, where the page itself says it.
const MEANWHILE = "What you photograph stays on this phone until the network is back.";

// Everything this page is made of, and what it asks to have kept with it; pictures further down may not have been fetched yet.
function resources() {
  const fetched = performance.getEntriesByType("resource").map((entry) => entry.name);
  const named = [...document.querySelectorAll("link[rel=stylesheet], link[rel=icon], script[src], img[src]")];
  const kept = asked?.dataset.with ? [new URL(asked.dataset.with, location.href).href] : [];
  return [...new Set([...fetched, ...named.map((each) => each.href || each.src), ...kept])];
}

function sayKept(keptAt) {
  const notice = document.createElement("div");
  notice.className = "message message--warning";
  const words = document.createElement("p");
  words.className = "message-words";
  words.textContent = `No network: the page as it was at ${clock(keptAt)}. ${asked?.dataset.meanwhile ?? MEANWHILE}`;
  const again = document.createElement("a");
  again.href = location.href;
  again.textContent = "Load it anew";
  notice.append(words, again);
  document.getElementById("messages").append(notice);
  document.documentElement.dataset.openedOffline = "";
  window.dispatchEvent(new Event("offline")); // for others who would say the same
  goOnceAnswered(notice);
}

// Once the studio's machine answers the page is at work again, and the notice would only lie over its buttons.
function goOnceAnswered(notice) {
  document.addEventListener("htmx:afterOnLoad", ({ detail }) => detail.successful && notice.remove());
}

async function start() {
  await navigator.serviceWorker.register(tag.dataset.offlineKeeper);
  const { active } = await navigator.serviceWorker.ready;
  navigator.serviceWorker.addEventListener("message", ({ data }) => {
    if (data.keptAt) sayKept(data.keptAt);
    if (data.isKept) document.documentElement.dataset.keptOffline = "";
  });
  active.postMessage({ person, keep, resources: keep ? resources() : [] });
  if (person && keep) keepWhatChanges();
}

// What was judged, put on or photographed since the page was opened belongs to what is kept of it; a moment's rest lets the
// next tap go first.
const REST_MS = 1000;
let resting = 0;

function keepAnew() {
  clearTimeout(resting);
  delete document.documentElement.dataset.keptOffline;
  resting = setTimeout(async () => {
    const { active } = await navigator.serviceWorker.ready;
    active.postMessage({ person, keep, resources: resources(), isAnew: true });
  }, REST_MS);
}

function keepWhatChanges() {
  document.addEventListener("htmx:afterRequest", ({ detail }) => {
    if (detail.successful && detail.requestConfig.verb !== "get") keepAnew();
  });
  document.addEventListener("photo:kept", keepAnew);
}

// After the page: nobody waits for what may be needed later.
function startAfterPage() {
  start().catch(() => {}); // a browser that forbids it opens pages with a network only
}

if (navigator.serviceWorker && isSecureContext) {
  if (document.readyState === "complete") startAfterPage();
  else window.addEventListener("load", startAfterPage);
}
