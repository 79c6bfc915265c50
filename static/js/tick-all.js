// Tick all of a list or none of it, and how many are ticked. Without scripts each tick is made by hand.

for (const list of document.querySelectorAll("[data-tick-all]")) {
  const ticks = [...list.querySelectorAll("input[type=checkbox]")];
  const count = list.querySelector("[data-tick-all-count]");

  const show = () => {
    count.textContent = `${ticks.filter((tick) => tick.checked).length} of ${ticks.length} ticked`;
  };
  const all = (checked) => {
    for (const tick of ticks) tick.checked = checked;
    show();
  };

  list.querySelector("[data-tick-all-on]").addEventListener("click", () => all(true));
  list.querySelector("[data-tick-all-off]").addEventListener("click", () => all(false));
  list.addEventListener("change", show);
  list.querySelector("[data-tick-all-bar]").hidden = false;
  show();
}
