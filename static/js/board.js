// Drag a tile of a board to another slot; what hangs there changes places with it. By mouse at once; by finger after
// holding still for a moment, as a quick stroke scrolls. Without scripts, or by keyboard, the slot's own page moves it.

const HELD_MS = 350;
// a finger that went so far before the moment was over is scrolling
const STILL_PX = 10;

for (const board of document.querySelectorAll("[data-board]")) {
  const form = document.querySelector("[data-board-move]");
  let dragged = null;
  let finger = null;

  const slotAt = (event) => event.target.closest("[data-slot]");
  const mark = (slot) => {
    for (const other of board.querySelectorAll("[data-over]")) other.removeAttribute("data-over");
    if (slot && slot !== dragged) slot.setAttribute("data-over", "");
  };
  const moveTo = (from, to) => {
    const [row, column] = to.dataset.slot.split(".");
    form.action = from.dataset.move;
    form.elements.row.value = row;
    form.elements.column.value = column;
    form.elements.seen.value = from.dataset.seen;
    form.requestSubmit();
  };

  for (const slot of board.querySelectorAll("[data-move]")) slot.draggable = true;

  board.addEventListener("dragstart", (event) => {
    // a finger that is held starts the browser's own dragging on some phones; ours goes on
    if (finger) return event.preventDefault();
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
    moveTo(dragged, to);
  });

  const slotUnder = (touch) => {
    const slot = document.elementFromPoint(touch.clientX, touch.clientY)?.closest("[data-slot]");
    return slot && board.contains(slot) ? slot : null;
  };
  const letGo = () => {
    if (!finger) return;
    clearTimeout(finger.timer);
    finger.slot.removeAttribute("data-held");
    mark(null);
    finger = dragged = null;
  };

  board.addEventListener("touchstart", (event) => {
    letGo();
    const slot = event.target.closest("[data-move]");
    if (!slot || event.touches.length > 1 || event.target.closest(".board-do")) return;
    const { clientX: x, clientY: y } = event.touches[0];
    finger = { slot, x, y, isHeld: false };
    finger.timer = setTimeout(() => {
      finger.isHeld = true;
      dragged = slot;
      slot.setAttribute("data-held", "");
    }, HELD_MS);
  }, { passive: true });
  board.addEventListener("touchmove", (event) => {
    if (!finger) return;
    const touch = event.touches[0];
    if (!finger.isHeld) {
      if (Math.hypot(touch.clientX - finger.x, touch.clientY - finger.y) > STILL_PX) letGo();
      return;
    }
    event.preventDefault();
    mark(slotUnder(touch));
  }, { passive: false });
  board.addEventListener("touchend", (event) => {
    if (!finger?.isHeld) return letGo();
    // else the tile's page would open
    event.preventDefault();
    const from = finger.slot;
    const to = slotUnder(event.changedTouches[0]);
    letGo();
    if (to && to !== from) moveTo(from, to);
  });
  board.addEventListener("touchcancel", letGo);
  board.addEventListener("contextmenu", (event) => {
    if (finger) event.preventDefault();
  });
}
