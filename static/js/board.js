// Drag a tile of a board to another slot; what hangs there changes places with it. Without scripts, or by keyboard, the
// slot's own page moves it.

for (const board of document.querySelectorAll("[data-board]")) {
  const form = document.querySelector("[data-board-move]");
  let dragged = null;

  const slotAt = (event) => event.target.closest("[data-slot]");
  const mark = (slot) => {
    for (const other of board.querySelectorAll("[data-over]")) other.removeAttribute("data-over");
    if (slot && slot !== dragged) slot.setAttribute("data-over", "");
  };

  for (const slot of board.querySelectorAll("[data-move]")) slot.draggable = true;

  board.addEventListener("dragstart", (event) => {
    dragged = event.target.closest("[data-move]");
    if (!dragged) return;
    event.dataTransfer.effectAllowed = "move";
    event.dataTransfer.setData("text/plain", dragged.dataset.seen.split("|")[0]);
  });
  board.addEventListener("dragover", (event) => {
    if (!dragged || !slotAt(event)) return;
    event.preventDefault();
    mark(slotAt(event));
  });
  board.addEventListener("dragend", () => {
    mark(null);
    dragged = null;
  });
  board.addEventListener("drop", (event) => {
    const to = slotAt(event);
    if (!dragged || !to || to === dragged) return;
    event.preventDefault();
    const [row, column] = to.dataset.slot.split(".");
    form.action = dragged.dataset.move;
    form.elements.row.value = row;
    form.elements.column.value = column;
    form.elements.seen.value = dragged.dataset.seen;
    form.requestSubmit();
  });
}
