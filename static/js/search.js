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
