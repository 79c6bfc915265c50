// A flaw's list of severities becomes one chip that each tap takes a step further: none, slight, marked, severe, none.

const chips = new WeakMap(); // select → its chip

function tell(select) {
  const chip = chips.get(select);
  const severity = select.selectedOptions[0]?.text ?? "";
  chip.dataset.level = String(select.selectedIndex);
  chip.querySelector("[data-severity]").textContent = select.selectedIndex > 0 ? severity : "";
  // What is seen comes first, word for word: whoever speaks to the machine says what they see.
  chip.setAttribute("aria-label", `${chip.dataset.name} ${severity}. Tap for the next`);
}

function chipFor(select) {
  const name = select.closest(".flaw").querySelector(".flaw-name").textContent;
  const chip = document.createElement("button");
  chip.type = "button";
  chip.className = "flaw-chip";
  chip.dataset.name = name;
  const words = document.createElement("span");
  words.textContent = name;
  const severity = document.createElement("span");
  severity.dataset.severity = "";
  chip.append(words, severity);
  chip.addEventListener("click", () => {
    select.selectedIndex = (select.selectedIndex + 1) % select.options.length;
    select.dispatchEvent(new Event("change", { bubbles: true }));
  });
  return chip;
}

// Flaws that are folded away are dressed when they are unfolded: sixty chips at once would make a cheap phone wait.
const isFolded = (select) => select.closest("details:not([open])") !== null;

function dress(root) {
  for (const select of root.querySelectorAll(".flaw select")) {
    if (chips.has(select) || isFolded(select)) continue;
    const chip = chipFor(select);
    chips.set(select, chip);
    select.closest(".flaw").after(chip);
    select.closest(".flaw").hidden = true;
    tell(select);
  }
}

document.addEventListener("change", (event) => {
  if (chips.has(event.target)) tell(event.target);
});
document.addEventListener("htmx:load", (event) => dress(event.detail.elt));
document.addEventListener("toggle", (event) => dress(event.target), true);
dress(document);
