// Results ticked to be compared, kept for this tab from page to page; at the bottom how many, and the way on.
// Without scripts the tray's form sends what is ticked on its own page.

const MOST = 8;
const tray = document.querySelector("[data-compare-tray]");
const words = tray.querySelector("[role=status]");
const send = tray.querySelector("[type=submit]");
const none = tray.querySelector("[data-compare-none]");

function read() {
  try {
    return JSON.parse(sessionStorage.getItem("compare") ?? "[]");
  } catch {
    return [];
  }
}

let chosen = read();

function keep() {
  try {
    sessionStorage.setItem("compare", JSON.stringify(chosen));
  } catch {
    // A browser that keeps nothing still compares what is ticked here.
  }
}

function show(told = "") {
  const names = document.createElement("span");
  names.className = "compare-tray-names";
  names.textContent = chosen.map((one) => one.name).join(" · ");
  tray.dataset.count = chosen.length;
  words.replaceChildren(told || `${chosen.length} chosen${chosen.length === 1 ? ". Tick another. " : " "}`, told ? "" : names);
  send.textContent = chosen.length > 1 ? `Compare ${chosen.length}` : "Compare";
  send.disabled = chosen.length < 2;
  none.hidden = chosen.length === 0;
}

// Ticks on this page as they were left; they come anew with every answer to a filter.
function tick() {
  const keys = new Set(chosen.map((one) => one.key));
  for (const box of document.querySelectorAll("input[data-compare-name]")) box.checked = keys.has(box.value);
}

document.addEventListener("change", (event) => {
  const box = event.target.closest?.("input[data-compare-name]");
  if (!box) return;
  if (box.checked && chosen.length >= MOST) {
    box.checked = false;
    show(`${MOST} at most stand side by side. Take one off first.`);
    return;
  }
  chosen = chosen.filter((one) => one.key !== box.value);
  if (box.checked) chosen.push({ key: box.value, name: box.dataset.compareName });
  keep();
  show();
});

none.addEventListener("click", () => {
  chosen = [];
  keep();
  tick();
  show();
});

tray.addEventListener("submit", (event) => {
  event.preventDefault();
  if (chosen.length > 1) location.assign(`${tray.action}?o=${chosen.map((one) => one.key).join(",")}`);
});

document.addEventListener("htmx:afterSettle", tick);
// Coming back to a page the browser kept.
addEventListener("pageshow", () => {
  chosen = read();
  tick();
  show();
});
