// One photo after the other by keyboard: a number and Enter files, a letter presses the button that shows it, Backspace in
// an empty field undoes. The number field is ready again as soon as the next photo is there.

const sorting = document.querySelector("[data-sorting]");
const hasKeys = !matchMedia("(hover: none) and (pointer: coarse)").matches;
const field = () => sorting.querySelector("[data-tile-number]");

function keyOf(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return "";
  if (event.key === "Backspace") return field() && field().value !== "" ? "" : "u";
  return /^[a-z]$/i.test(event.key) ? event.key.toLowerCase() : "";
}

// A letter is a command wherever the cursor is on this page, but in no other field and not while a photo is close up.
document.addEventListener("keydown", (event) => {
  const isElsewhere = event.target.matches?.("input, textarea, select") && !sorting.contains(event.target);
  const key = isElsewhere || document.querySelector("dialog[open]") ? "" : keyOf(event);
  if (!key) return;
  event.preventDefault();
  if (event.repeat || isBusy) return;
  sorting.querySelector(`[data-key="${key}"]`)?.click();
});

// Two answers on their way at once would file the second number to the photo before.
let isBusy = false;
document.addEventListener("htmx:beforeRequest", (event) => {
  if (!sorting.contains(event.detail.elt)) return;
  if (isBusy) event.preventDefault();
  isBusy = true;
});
document.addEventListener("htmx:afterRequest", () => {
  isBusy = false;
});

// On a phone the keyboard would cover the photo and the buttons: it comes by a tap.
function ready() {
  const number = field();
  if (!number) sorting.querySelector("[data-key=u]")?.focus();
  else if (!hasKeys) number.blur();
  else if (number.getAttribute("aria-invalid") === "true") number.select();
  else number.focus();
}

document.addEventListener("htmx:afterSettle", (event) => {
  if (event.detail.target === sorting) ready();
});
ready();
