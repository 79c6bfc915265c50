{% load static %}// Keeps the pages one photographs from, so that they open in a kiln room without a network. A page asks for it and says for
// whom; what was kept for anybody else is deleted at that moment, and everything when someone signs out. Kept are the page as
// it was, its sheets and scripts, the small pictures on it and what opens its tiles; nothing is ever answered from here while the network answers.

const KEPT = "kept for ";
const SIGN_OUT = "{% url "people:sign_out" %}";
const SHEETS = "{% get_static_prefix %}";
const SMALL_PICTURE = /^\/photos\/[0-9a-f]{64}\/(?:[0-9-]+\/)?small\.jpg$/;
// What opens the tiles of a firing that is unloaded.
const UNOPENED = /^\/firings\/\d+\/unload\/unopened\/$/;
// Files named by what they hold never change.
const NAMED_BY_CONTENT = /\.[0-9a-f]{12}\.\w+$/;
// A network that does not answer in this time is taken for none, where there is a kept page to show instead.
const PATIENCE_MS = 6000;
const MOST_KEPT = 1500;

const keptAt = new Map(); // a page that was answered from here → when it was kept

addEventListener("install", () => skipWaiting());
addEventListener("activate", (event) => event.waitUntil(clients.claim()));

// Deletes what is kept, for all but one.
async function forget(except = null) {
  const names = (await caches.keys()).filter((name) => name.startsWith(KEPT) && name !== except);
  await Promise.all(names.map((name) => caches.delete(name)));
}

// What a page says ---------------------------------------------------------------------------------------------------

async function hear(event) {
  const { person, keep, resources, isAnew } = event.data;
  const { source } = event;
  if (isAnew) {
    if (await keepPage(person, keep, resources)) source.postMessage({ isKept: true });
    return;
  }
  await forget(person ? KEPT + person : null);
  source.postMessage({ keptAt: keptAt.get(source.id) ?? 0 });
  if (!person || !keep || keptAt.has(source.id)) return;
  if (await keepPage(person, keep, resources)) source.postMessage({ isKept: true });
}

addEventListener("message", (event) => event.waitUntil(hear(event)));

// True once the page opens without a network.
async function keepPage(person, address, resources) {
  const page = await fetch(address, { credentials: "same-origin" });
  const words = await page.text();
  // Someone else may have signed in, or this one out, since the page was opened.
  if (!page.ok || page.redirected || !words.includes(`data-person="${person}"`)) return false;
  const headers = new Headers(page.headers);
  headers.set("X-Kept-At", String(Date.now()));
  const cache = await caches.open(KEPT + person);
  await cache.put(address, new Response(words, { headers }));
  await Promise.all(resources.filter(isKept).map((each) => keepResource(cache, each)));
  await trim(cache);
  return true;
}

async function keepResource(cache, address) {
  const there = await cache.match(address);
  if (there && (NAMED_BY_CONTENT.test(address) || address.endsWith(".jpg"))) return;
  try {
    const answer = await fetch(address, { credentials: "same-origin" });
    const isPassing = /no-store/.test(answer.headers.get("Cache-Control") ?? "");
    if (answer.ok && !answer.redirected && !isPassing) await cache.put(address, answer);
  } catch {
    // Left out: the page opens without it.
  }
}

async function trim(cache) {
  const kept = await cache.keys();
  await Promise.all(kept.slice(0, Math.max(0, kept.length - MOST_KEPT)).map((request) => cache.delete(request)));
}

function isKept(address) {
  const { origin, pathname } = new URL(address, location.href);
  return origin === location.origin && (pathname.startsWith(SHEETS) || SMALL_PICTURE.test(pathname) || UNOPENED.test(pathname));
}

// What a page asks for ------------------------------------------------------------------------------------------------

// A page kept without a question answers for all of them; one kept with a question is about that alone. Looked up by name
// throughout: opening a shelf that is deleted meanwhile would make it anew, empty.
async function kept(address) {
  const whole = new URL(address, location.href);
  whole.search = "";
  for (const cacheName of (await caches.keys()).filter((name) => name.startsWith(KEPT))) {
    const found = (await caches.match(address, { cacheName })) ?? (await caches.match(whole.href, { cacheName }));
    if (found) return found;
  }
  return null;
}

const patience = () => new Promise((_, reject) => setTimeout(reject, PATIENCE_MS, new Error("no answer in time")));

async function openPage(event) {
  const page = await kept(event.request.url);
  const answer = fetch(event.request);
  try {
    return await (page ? Promise.race([answer, patience()]) : answer);
  } catch {
    if (!page) return withoutNetwork();
    keptAt.set(event.resultingClientId, Number(page.headers.get("X-Kept-At")));
    return page;
  }
}

async function openResource(request) {
  const there = await kept(request.url);
  if (there && NAMED_BY_CONTENT.test(new URL(request.url).pathname)) return there;
  try {
    return await fetch(request);
  } catch (trouble) {
    if (there) return there;
    throw trouble;
  }
}

const PLAIN = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" };
const plain = (words) => words.replace(/[&<>"]/g, (letter) => PLAIN[letter]);

// The pages that do open, in place of the browser's own words.
async function withoutNetwork() {
  const lines = [];
  for (const name of (await caches.keys()).filter((each) => each.startsWith(KEPT))) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      const answer = await cache.match(request);
      if (!answer.headers.has("X-Kept-At")) continue;
      const { pathname, search } = new URL(request.url);
      const [, title = pathname] = (await answer.text()).match(/<title>([^<]*)/) ?? [];
      // Written by our own templates, so it is escaped already.
      lines.push(`<li><a href="${plain(pathname + search)}">${title.replace(/\s+/g, " ").trim()}</a></li>`);
    }
  }
  const there = lines.length ? `<p>These pages open without one:</p><ul>${lines.join("")}</ul>` : "";
  const words = `<!DOCTYPE html><html lang="en-GB"><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<meta name="color-scheme" content="light dark"><title>No network</title><h1>No network</h1>
<p>This page needs the studio’s machine, and it does not answer. Photos on this phone stay here until it does.</p>${there}`;
  return new Response(words, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}

addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (origin !== location.origin) return;
  if (request.method === "POST" && pathname === SIGN_OUT) event.waitUntil(forget());
  else if (request.method !== "GET") return;
  else if (request.mode === "navigate") event.respondWith(openPage(event));
  else if (isKept(request.url)) event.respondWith(openResource(request));
});
