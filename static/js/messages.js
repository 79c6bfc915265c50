// Messages stay in view and can be put away. Without scripts they stand in the page.

document.documentElement.dataset.script = "on";

document.addEventListener("click", (event) => {
  event.target.closest("[data-message-close]")?.closest(".message")?.remove();
});
