// Keys in the rows of a programme: Enter goes on to the next box and from the last one adds a segment, Alt with an arrow
// moves the segment. The buttons do the work, here and without scripts; this only presses them.

const BOXES = "input[type=text][name^=rate-], input[type=text][name^=target-], input[type=text][name^=hold-]";

const boxesOf = (form) => [...form.querySelectorAll(BOXES)];

function goOn(form, box) {
  const boxes = boxesOf(form);
  const next = boxes[boxes.indexOf(box) + 1];
  if (next) {
    next.focus();
    next.select();
  } else form.querySelector("[data-add-segment]").click();
}

document.addEventListener("keydown", (event) => {
  const form = event.target.closest?.("[data-programme]");
  const row = event.target.closest?.(".segment");
  if (!form || !row) return;
  if (event.altKey && (event.key === "ArrowUp" || event.key === "ArrowDown")) {
    event.preventDefault();
    row.querySelector(event.key === "ArrowUp" ? ".segment-up" : ".segment-down").click();
  } else if (event.key === "Enter" && event.target.matches(BOXES)) {
    event.preventDefault();
    goOn(form, event.target);
  }
});

// A rate is either typed or as fast as possible: typing one lifts the tick, the tick leaves the figure for later.
document.addEventListener("input", (event) => {
  if (!event.target.matches("[data-programme] [name^=rate-]") || !event.target.value.trim()) return;
  event.target.closest(".segment").querySelector("[name^=fast-]").checked = false;
});
