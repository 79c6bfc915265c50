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

// The marks beside the fields are of the last press. As one types on, those that no longer hold go, and what is still wrong
// says what is wrong with it now; nothing is marked anew in the middle of a word.
const fieldOf = (mark) => mark.id.replace(/^id_/, "").replace(/_error$/, "") || "__all__";

function putRight(form, outlook) {
  const wrong = new Map(
    [...outlook.querySelectorAll("[data-plan-wrong] > [data-of]")].map((one) => [one.dataset.of, one.firstElementChild]),
  );
  for (const mark of form.querySelectorAll(".errorlist")) {
    const name = fieldOf(mark);
    if (wrong.has(name)) {
      if (mark.textContent !== wrong.get(name).textContent) mark.replaceWith(wrong.get(name));
    } else {
      for (const input of form.querySelectorAll(`[name="${name}"]`)) input.removeAttribute("aria-invalid");
      mark.remove();
    }
  }
  if (!form.querySelector(".errorlist")) form.querySelector("[data-plan-marked]")?.remove();
}

document.addEventListener("htmx:afterSettle", ({ detail }) => {
  const form = document.getElementById("plan-form");
  if (form && detail.target.id === "plan-outlook" && detail.target.querySelector("[data-plan-wrong]")) putRight(form, detail.target);
});

// What stands in a new plan goes with its place in the browser's history: who makes the tiles and then goes back finds it
// again, as does who follows a link away from it. The server draws it as it draws any plan half filled.
const NOT_KEPT = new Set(["csrfmiddlewaretoken", "do"]);
const newPlan = () => {
  const form = document.getElementById("plan-form");
  return form && !form.elements.stamp ? form : null;
};

function keepWithThePage() {
  const form = newPlan();
  if (!form) return;
  const fields = [...new FormData(form)].filter(([name]) => !NOT_KEPT.has(name));
  history.replaceState({ ...history.state, plan: fields }, "");
}

function bringBack(fields) {
  const values = { do: "show" };
  for (const [name, value] of fields) (values[name] ??= []).push(value);
  window.htmx.ajax("POST", location.pathname, { target: "#plan", swap: "outerHTML", values });
}

for (const kind of ["input", "change", "submit", "htmx:afterSettle"]) document.addEventListener(kind, keepWithThePage);
if (newPlan() && history.state?.plan) bringBack(history.state.plan);
