// A photo sent a moment ago is still being prepared: a quiet grey stands for it. Look again until it is there.
// By then the studio makes it on demand, so the looking ends whatever happens.

const MARK = "?soon";
const WAITS_MS = [1000, 1500, 2000, 3000, 4000, 5000, 6000];

const pause = (ms) => new Promise((go) => setTimeout(go, ms));

async function isThere(address) {
  const answer = await fetch(address, { method: "HEAD", cache: "no-store" });
  return !answer.ok || answer.headers.get("Content-Type") !== "image/svg+xml";
}

function show(img) {
  if (img.srcset) img.srcset = img.srcset.replaceAll(MARK, "");
  img.src = img.src.replace(MARK, "");
}

async function watch(img) {
  for (const wait of WAITS_MS) {
    await pause(wait);
    if (!img.isConnected) return;
    if (await isThere(img.src).catch(() => false)) break;
  }
  show(img);
}

function watchWithin(part) {
  for (const img of part.querySelectorAll(`img[src$="${MARK}"]:not([data-awaited])`)) {
    img.dataset.awaited = "";
    watch(img);
  }
}

document.addEventListener("htmx:load", (event) => watchWithin(event.detail.elt.parentElement ?? document));
watchWithin(document);
