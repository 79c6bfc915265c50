// Sorting in the tray: when a photo has left it, the next one's number is ready to be typed; photos that arrive while
// one sorts are announced, not pushed in; how many photos are ticked stands beside what files them together.

const tray = document.querySelector("[data-photo-tray]");
let next = null;

document.addEventListener("htmx:beforeSwap", (event) => {
  const photo = event.detail.target.closest("[data-waiting-photo]");
  next = photo && event.detail.xhr.status === 200 ? (photo.nextElementSibling ?? photo.previousElementSibling) : null;
});

document.addEventListener("htmx:afterRequest", () => {
  next?.querySelector("[data-tile-number]")?.focus();
  next = null;
  countTicked();
});

// A refused number: the field again, what was typed selected.
document.addEventListener("htmx:afterSwap", (event) => {
  if (event.detail.xhr.status !== 422) return;
  tray.querySelector("[aria-invalid=true]")?.select();
});

let arrived = 0;
const more = document.querySelector("[data-photo-tray-more]");

document.addEventListener("photo:settled", (event) => {
  if (event.detail.state !== "tray") return;
  arrived += 1;
  more.hidden = false;
  more.textContent = arrived === 1 ? "Show the photo that came in" : `Show the ${arrived} photos that came in`;
});

more.addEventListener("click", () => location.reload());

// Ticking several --------------------------------------------------------------------------------------------------

const boxes = () => [...tray.querySelectorAll(".tray-choose input")];
let lastTicked = null;

function countTicked() {
  const words = document.querySelector("[data-chosen-count]");
  if (!words) return;
  const count = boxes().filter((box) => box.checked).length;
  words.textContent = count === 1 ? "The ticked photo" : `The ${count} ticked photos`;
}

// With Shift held, everything between the last tick and this one goes the same way.
tray.addEventListener("click", (event) => {
  if (!event.target.matches(".tray-choose input")) return;
  const all = boxes();
  const ends = [all.indexOf(lastTicked), all.indexOf(event.target)].sort((one, other) => one - other);
  if (event.shiftKey && ends[0] >= 0) {
    for (const box of all.slice(ends[0], ends[1] + 1)) box.checked = event.target.checked;
  }
  lastTicked = event.target;
  countTicked();
});
countTicked();
