// Small forms over the page. A link with data-opens shows its form in the dialog; the link itself works without scripts.
// After a quick-add the server answers 204 with the HX-Trigger header {"added": {"kind", "value", "label"}}:
// every <select data-kind="…"> of that kind learns the new choice, and the one beside the link takes it.

const dialog = document.getElementById("dialog");
const title = dialog.querySelector("[data-dialog-title]");
const body = document.getElementById("dialog-body");
let opener = null;

function open(link) {
  opener = link;
  title.textContent = link.dataset.opens;
  body.textContent = "";
  window.htmx.ajax("GET", link.href, { target: body, swap: "innerHTML" }).then(() => {
    if (!body.hasChildNodes()) return;
    dialog.showModal();
    body.querySelector("input:not([type=hidden]), select, textarea")?.focus();
  });
}

function learn(select, { value, label }, chosen) {
  const known = [...select.options].some((option) => option.value === String(value));
  if (!known) select.add(new Option(label, value));
  if (!chosen) return;
  select.value = value;
  select.dispatchEvent(new Event("change", { bubbles: true }));
}

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-opens]");
  if (link && window.htmx && !event.ctrlKey && !event.metaKey && !event.shiftKey) {
    event.preventDefault();
    open(link);
  }
  if (event.target.closest("[data-closes-dialog]")) event.target.closest("dialog").close();
});

document.addEventListener("added", (event) => {
  const beside = opener?.parentElement.querySelector("select");
  for (const select of document.querySelectorAll(`select[data-kind="${CSS.escape(event.detail.kind)}"]`)) {
    learn(select, event.detail, select === beside);
  }
  dialog.close();
  (beside ?? opener)?.focus();
});
