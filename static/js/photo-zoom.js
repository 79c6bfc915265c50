// Photos close up: wheel, two fingers, keyboard and buttons; on the grey surround; the page goes nowhere.
// An element with data-close-up holds one picture; a link with data-photo-zoom opens its picture over the page, and the
// arrow keys go on to the page's other pictures. Without scripts the link opens the photo's own page.

const STEP = 1.4;
const PAN_PX = 80;

// Makes the picture in `view` zoom. Returns what buttons and keys call.
export function closeUp(view) {
  const picture = view.querySelector("img");
  const fingers = new Map();
  let scale = 1;
  let x = 0;
  let y = 0;

  const most = () => Math.max(4, (2 * picture.naturalWidth) / Math.max(1, fitted().width));

  // The picture's size on the page before zooming: it fits into the view whole.
  function fitted() {
    const fit = Math.min(view.clientWidth / picture.naturalWidth, view.clientHeight / picture.naturalHeight, 1e9) || 1;
    return { width: picture.naturalWidth * fit, height: picture.naturalHeight * fit };
  }

  function place() {
    const { width, height } = fitted();
    const slackX = Math.max(0, (width * scale - view.clientWidth) / 2);
    const slackY = Math.max(0, (height * scale - view.clientHeight) / 2);
    x = Math.max(-slackX, Math.min(slackX, x));
    y = Math.max(-slackY, Math.min(slackY, y));
    picture.style.transform = `translate(${x}px, ${y}px) scale(${scale})`;
    view.dataset.closeUp = scale > 1 ? "near" : "whole";
    view.dispatchEvent(new CustomEvent("zoomed", { detail: { percent: Math.round(scale * 100) } }));
  }

  // Zooms by a factor so that what lies under a point of the window stays under it.
  function zoom(factor, at = null) {
    const box = view.getBoundingClientRect();
    const [atX, atY] = at ? [at.x - box.x - box.width / 2, at.y - box.y - box.height / 2] : [0, 0];
    const target = Math.max(1, Math.min(most(), scale * factor));
    x = atX - (atX - x) * (target / scale);
    y = atY - (atY - y) * (target / scale);
    scale = target;
    place();
  }

  function pan(byX, byY) {
    x += byX;
    y += byY;
    place();
  }

  function whole() {
    scale = 1;
    place();
  }

  // One pixel of the picture to one of the screen.
  function actual() {
    zoom(picture.naturalWidth / fitted().width / devicePixelRatio / scale);
  }

  function spread() {
    const [one, other] = [...fingers.values()];
    return {
      x: (one.x + other.x) / 2,
      y: (one.y + other.y) / 2,
      apart: Math.hypot(one.x - other.x, one.y - other.y),
    };
  }

  function moved(event) {
    const was = fingers.get(event.pointerId);
    if (!was) return;
    const before = fingers.size === 2 ? spread() : null;
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (before) {
      const now = spread();
      zoom(now.apart / Math.max(1, before.apart), now);
      pan(now.x - before.x, now.y - before.y);
    } else if (scale > 1) {
      pan(event.clientX - was.x, event.clientY - was.y);
    }
  }

  function touched(event) {
    if (fingers.size === 2) return;
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (scale > 1 || fingers.size === 2) view.setPointerCapture(event.pointerId);
  }

  view.addEventListener("pointerdown", touched);
  view.addEventListener("pointermove", moved);
  for (const ended of ["pointerup", "pointercancel"]) {
    view.addEventListener(ended, (event) => fingers.delete(event.pointerId));
  }
  view.addEventListener("wheel", (event) => {
    event.preventDefault();
    zoom(Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : 0.0015)), { x: event.clientX, y: event.clientY });
  }, { passive: false });
  view.addEventListener("dblclick", (event) => (scale > 1 ? whole() : zoom(3, { x: event.clientX, y: event.clientY })));
  picture.addEventListener("load", whole);
  picture.draggable = false;
  new ResizeObserver(place).observe(view);

  const nearer = () => zoom(STEP);
  const farther = () => zoom(1 / STEP);
  const keys = {
    "+": nearer,
    "=": nearer,
    "-": farther,
    0: whole,
    1: actual,
    ArrowLeft: () => pan(PAN_PX, 0),
    ArrowRight: () => pan(-PAN_PX, 0),
    ArrowUp: () => pan(0, PAN_PX),
    ArrowDown: () => pan(0, -PAN_PX),
  };
  // True when the key did something here: arrows only while zoomed in.
  function key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return false;
    if (!keys[event.key] || (event.key.startsWith("Arrow") && scale === 1)) return false;
    event.preventDefault();
    keys[event.key]();
    return true;
  }
  place();
  return { nearer, farther, whole, actual, key, picture };
}

function button(words, label, whenPressed) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "button";
  made.textContent = words;
  if (label) made.setAttribute("aria-label", label);
  made.addEventListener("click", whenPressed);
  return made;
}

function tools(view, controls) {
  const group = document.createElement("div");
  group.className = "button-row";
  const percent = document.createElement("output");
  percent.className = "close-up-percent";
  percent.textContent = "100 %";
  view.addEventListener("zoomed", (event) => (percent.textContent = `${event.detail.percent} %`));
  group.append(
    button("−", "Farther", controls.farther),
    percent,
    button("+", "Nearer", controls.nearer),
    button("Whole", "", controls.whole),
    button("1 : 1", "1 : 1, one pixel of the photo to one of the screen", controls.actual),
  );
  return group;
}

for (const view of document.querySelectorAll("[data-close-up]")) {
  const controls = closeUp(view);
  view.addEventListener("keydown", controls.key);
  view.after(tools(view, controls));
  view.nextElementSibling.classList.add("close-up-tools");
}

// Over the page ----------------------------------------------------------------------------------------------------

let over = null;

function make() {
  const dialog = document.createElement("dialog");
  dialog.className = "zoom";
  const bar = document.createElement("div");
  bar.className = "zoom-bar";
  const words = document.createElement("p");
  words.className = "zoom-words";
  words.id = "zoom-words";
  dialog.setAttribute("aria-labelledby", words.id);
  const view = document.createElement("div");
  view.className = "close-up-view";
  view.tabIndex = 0;
  view.append(document.createElement("img"));
  const controls = closeUp(view);
  const page = document.createElement("a");
  page.className = "button";
  page.textContent = "About this photo";
  const before = button("‹", "The photo before", () => step(-1));
  const after = button("›", "The next photo", () => step(1));
  const more = document.createElement("div");
  more.className = "button-row";
  more.append(before, after, page, button("Close", "", () => dialog.close()));
  bar.append(words, tools(view, controls), more);
  dialog.append(bar, view);
  dialog.addEventListener("keydown", (event) => {
    if (controls.key(event)) return;
    if (event.key === "ArrowLeft") step(-1);
    if (event.key === "ArrowRight") step(1);
  });
  dialog.addEventListener("close", () => over.link.focus());
  document.body.append(dialog);
  return { dialog, words, page, before, after, view, picture: controls.picture, link: null };
}

const links = () => [...document.querySelectorAll("a[data-photo-zoom]")];

function show(link) {
  const { words, page, picture, before, after } = over;
  const near = link.querySelector("img");
  over.link = link;
  words.textContent = picture.alt = near?.alt || "Photo";
  picture.src = link.dataset.photoZoom;
  page.href = link.href;
  before.disabled = links()[0] === link;
  after.disabled = links().at(-1) === link;
}

function step(by) {
  const next = links()[links().indexOf(over.link) + by];
  if (next) show(next);
}

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-photo-zoom]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  over ??= make();
  show(link);
  over.dialog.showModal();
  over.view.focus();
});
