// A second tap on an answer takes it back: radio buttons marked data-untap can be left empty again. What the page itself had
// filled in is only confirmed by its first tap: who taps what they see to be true must not lose it.

const tapped = new WeakSet();
let wasTapped = null;

const sameQuestion = (radio) => [...radio.form.elements].filter((field) => field.name === radio.name);

document.addEventListener("pointerdown", (event) => {
  const radio = event.target.closest?.("label")?.querySelector("input[type=radio][data-untap]");
  wasTapped = radio?.checked && tapped.has(radio) ? radio : null;
});

document.addEventListener("click", (event) => {
  const radio = event.target;
  if (!radio.matches?.("input[type=radio][data-untap]")) return;
  for (const each of sameQuestion(radio)) tapped.delete(each);
  if (radio !== wasTapped) {
    tapped.add(radio);
    return;
  }
  radio.checked = false;
  radio.dispatchEvent(new Event("change", { bubbles: true }));
  wasTapped = null;
});
