// Sorting at speed: when a photo has left the tray, the next one's number is ready to be typed; photos that arrive
// while one sorts are announced, not pushed in.

const tray = document.querySelector("[data-photo-tray]");
let next = null;

document.addEventListener("htmx:beforeSwap", (event) => {
  const photo = event.detail.target.closest("[data-waiting-photo]");
  next = photo && event.detail.xhr.status === 200 ? (photo.nextElementSibling ?? photo.previousElementSibling) : null;
});

document.addEventListener("htmx:afterRequest", () => {
  next?.querySelector("[data-tile-number]")?.focus();
  next = null;
});

// A refused number: the field again, what was typed selected.
document.addEventListener("htmx:afterSwap", (event) => {
  if (event.detail.xhr.status !== 422) return;
  tray.querySelector("[aria-invalid=true]")?.select();
});

let arrived = 0;
const more = document.querySelector("[data-photo-tray-more]");

document.addEventListener("photo:kept", (event) => {
  if (event.detail.state !== "stored") return;
  arrived += 1;
  more.hidden = false;
  more.textContent = arrived === 1 ? "Show the photo that came in" : `Show the ${arrived} photos that came in`;
});

more.addEventListener("click", () => location.reload());
