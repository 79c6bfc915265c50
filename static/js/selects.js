// A field that is there to be copied: touching it selects all of it.

for (const field of document.querySelectorAll("[data-selects]")) {
  field.addEventListener("focus", () => field.select());
}
