// A level chosen from a menu draws the plan anew. What is typed or ticked while that is under way would be lost with the old
// plan: then the answer is left aside and asked for again, with everything that stands in the form by now.

const filled = (form) => new URLSearchParams(new FormData(form)).toString();
const asked = new WeakMap();

const formOf = (element) => element.closest?.("#plan-form");

document.addEventListener("htmx:beforeRequest", ({ detail }) => {
  const form = formOf(detail.elt);
  if (form) asked.set(detail.xhr, filled(form));
});

document.addEventListener("htmx:beforeSwap", ({ detail }) => {
  const source = detail.requestConfig.elt;
  const form = formOf(source);
  if (!form || !asked.has(detail.xhr) || asked.get(detail.xhr) === filled(form)) return;
  detail.shouldSwap = false;
  const gesture = source.matches("select") ? "change" : "click";
  setTimeout(() => window.htmx.trigger(source, gesture), 0);
});
