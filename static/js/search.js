// The filters are sent anew with every answer. What a person unfolded stays unfolded, and the list stays where it was.

const groups = document.getElementById("search-groups");
let unfolded = new Map();

document.addEventListener("htmx:oobBeforeSwap", (event) => {
  if (event.detail.target !== groups) return;
  unfolded = new Map([...groups.querySelectorAll("details[id]")].map((part) => [part.id, part.open]));
});

document.addEventListener("htmx:oobAfterSwap", (event) => {
  if (event.detail.target !== groups) return;
  for (const part of groups.querySelectorAll("details[id]")) {
    if (unfolded.has(part.id)) part.open = unfolded.get(part.id) || part.querySelector("[aria-invalid]") !== null;
  }
});

// A colour may be picked instead of typed; the field that holds it is what is sent. The pickers come anew with the groups.
function showPickers() {
  for (const picker of document.querySelectorAll("[data-picks-for]")) picker.hidden = false;
}

document.addEventListener("change", (event) => {
  const field = document.getElementById(event.target.dataset?.picksFor ?? "");
  if (!field) return;
  event.stopPropagation();
  field.value = event.target.value;
  field.dispatchEvent(new Event("change", { bubbles: true }));
}, true);
document.addEventListener("htmx:oobAfterSwap", showPickers);
showPickers();
