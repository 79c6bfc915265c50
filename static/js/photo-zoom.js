// Photos over the page: a link with data-photo-zoom opens its picture close up, and the arrow keys go on to the page's
// other pictures. The photo's own page holds one picture already. Without scripts the link opens that page.

import { button, closeUp, tools } from "./close-up.js";

for (const view of document.querySelectorAll("[data-close-up]:not([data-led])")) {
  const controls = closeUp(view);
  view.addEventListener("keydown", controls.key);
  view.after(tools(view, controls));
}

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
  return { dialog, words, page, before, after, view, controls, picture: controls.picture, link: null };
}

const links = () => [...document.querySelectorAll("a[data-photo-zoom]")];

function show(link) {
  const { view, controls, words, page, picture, before, after } = over;
  const near = link.querySelector("img");
  over.link = link;
  words.textContent = picture.alt = near?.alt || "Photo";
  for (const side of ["width", "height"]) picture.removeAttribute(side);
  if (link.dataset.size) [picture.width, picture.height] = link.dataset.size.split(" ").map(Number);
  view.dataset.home = link.dataset.home ?? "";
  view.dataset.pieces = link.dataset.pieces ?? "";
  delete view.dataset.drawn;
  picture.src = link.dataset.photoZoom;
  controls.open();
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
