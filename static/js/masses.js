// Keys in rows of masses (data-masses): Enter goes on to the next box, and from the last one to the button that keeps.

document.addEventListener("keydown", (event) => {
  const table = event.target.closest?.("[data-masses]");
  if (!table || event.key !== "Enter" || !event.target.matches("input")) return;
  event.preventDefault();
  const boxes = [...table.querySelectorAll("input:not([type=hidden])")];
  const next = boxes[boxes.indexOf(event.target) + 1];
  if (next) {
    next.focus();
    next.select();
  } else event.target.form.querySelector("[type=submit]").focus();
});
