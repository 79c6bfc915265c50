// A second tap on a chosen answer takes it back: radio buttons marked data-untap can be left empty again.

let wasChosen = null;

document.addEventListener("pointerdown", (event) => {
  const radio = event.target.closest?.("label")?.querySelector("input[type=radio][data-untap]");
  wasChosen = radio?.checked ? radio : null;
});

document.addEventListener("click", (event) => {
  if (event.target !== wasChosen) return;
  wasChosen.checked = false;
  wasChosen.dispatchEvent(new Event("change", { bubbles: true }));
  wasChosen = null;
});
