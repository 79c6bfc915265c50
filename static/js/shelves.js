// Tiles on drawn shelves are dragged, by mouse, finger or arrow keys; each move is sent by the form that stands below.

const STEP_MM = 5;
// a pause after the last arrow key, and then the move is kept
const PAUSE_MS = 700;
let held = null;
let waiting = null;

const boards = () => document.querySelectorAll("[data-shelves] svg[data-shelf]");
const pieceOf = (thing) => thing.closest?.("[data-shelves] [data-piece]");
const number = (piece, name) => Number(piece.dataset[name]);

const makeReady = () => {
  if (!document.getElementById("move")) return;
  for (const piece of document.querySelectorAll("[data-shelves] [data-piece]")) piece.setAttribute("tabindex", "0");
  const hint = document.querySelector("[data-shelves-hint]");
  if (hint) hint.hidden = false;
};

// where a point of the screen lies on a shelf, in mm
const onBoard = (board, event) => {
  const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(board.getScreenCTM().inverse());
  return { x: point.x, y: point.y };
};

const boardUnder = (event) =>
  [...boards()].find((board) => {
    const box = board.getBoundingClientRect();
    return (
      event.clientX >= box.left && event.clientX <= box.right && event.clientY >= box.top && event.clientY <= box.bottom
    );
  });

// a cookie stays on the shelf as well
const inside = (at, most, rim) => Math.round(Math.min(Math.max(at, rim), Math.max(rim, most - rim)));

const clamped = (board, piece, x, y) => ({
  x: inside(x, Number(board.dataset.width) - number(piece, "wide"), number(piece, "rim")),
  y: inside(y, Number(board.dataset.depth) - number(piece, "deep"), number(piece, "rim")),
});

const show = (piece, x, y) =>
  piece.setAttribute("transform", `translate(${x - number(piece, "x")} ${y - number(piece, "y")})`);

const send = (piece, shelf, x, y) => {
  const form = document.getElementById("move");
  form.elements.piece.value = piece.dataset.piece;
  form.elements.shelf.value = shelf;
  form.elements.x_mm.value = x;
  form.elements.y_mm.value = y;
  form.requestSubmit();
};

document.addEventListener("pointerdown", (event) => {
  const piece = pieceOf(event.target);
  if (!piece?.hasAttribute("tabindex") || event.button > 0) return;
  const board = piece.ownerSVGElement;
  const at = onBoard(board, event);
  held = { piece, id: event.pointerId, dx: at.x - number(piece, "x"), dy: at.y - number(piece, "y"), moved: false };
  piece.setPointerCapture(event.pointerId);
});

document.addEventListener("pointermove", (event) => {
  if (held?.id !== event.pointerId) return;
  const at = onBoard(held.piece.ownerSVGElement, event);
  const x = at.x - held.dx;
  const y = at.y - held.dy;
  if (!held.moved && Math.hypot(x - number(held.piece, "x"), y - number(held.piece, "y")) < 3) return;
  held.moved = true;
  held.piece.classList.add("plan-piece--held");
  show(held.piece, x, y);
});

// Browsers do not heed touch-action on a part of a drawing: the page would scroll and the tile stay behind.
document.addEventListener(
  "touchmove",
  (event) => {
    if (held) event.preventDefault();
  },
  { passive: false },
);

const letGo = () => {
  held.piece.classList.remove("plan-piece--held");
  const was = held;
  held = null;
  return was;
};

document.addEventListener("pointerup", (event) => {
  if (held?.id !== event.pointerId) return;
  const { piece, dx, dy, moved } = letGo();
  if (!moved) return;
  const board = boardUnder(event);
  if (!board) {
    piece.removeAttribute("transform");
    return;
  }
  const at = onBoard(board, event);
  const spot = clamped(board, piece, at.x - dx, at.y - dy);
  if (board === piece.ownerSVGElement) show(piece, spot.x, spot.y);
  send(piece, board.dataset.shelf, spot.x, spot.y);
});

document.addEventListener("pointercancel", (event) => {
  if (held?.id !== event.pointerId) return;
  letGo().piece.removeAttribute("transform");
});

const keys = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

document.addEventListener("keydown", (event) => {
  const piece = pieceOf(event.target);
  const way = keys[event.key];
  if (!piece || !way) return;
  event.preventDefault();
  const board = piece.ownerSVGElement;
  const step = event.shiftKey ? 1 : STEP_MM;
  const from = waiting?.piece === piece ? waiting : { x: number(piece, "x"), y: number(piece, "y") };
  const spot = clamped(board, piece, from.x + way[0] * step, from.y + way[1] * step);
  show(piece, spot.x, spot.y);
  clearTimeout(waiting?.timer);
  waiting = { piece, ...spot };
  waiting.timer = setTimeout(() => {
    waiting = null;
    send(piece, board.dataset.shelf, spot.x, spot.y);
  }, PAUSE_MS);
});

// the keyboard goes on with the tile it moved
let last = "";
document.addEventListener("htmx:beforeSwap", () => {
  last = pieceOf(document.activeElement ?? document.body)?.id ?? "";
});
document.addEventListener("htmx:afterSettle", () => {
  makeReady();
  if (last) document.getElementById(last)?.focus();
  last = "";
});

makeReady();
