// A field's value as a form sends it: a radio button is chosen by its own, a tick box by "on", and "" is no answer. What is filled
// in behind "more", and did not stand there, is unfolded, as nobody is to keep what they have not seen; that nothing is there
// ("none") need not be seen.
export function setValue(field, value) {
  const isTick = field.type === "radio" || field.type === "checkbox";
  const before = isTick ? field.checked : field.value;
  if (field.type === "radio") field.checked = field.value === value;
  else if (field.type === "checkbox") field.checked = value === "on";
  else field.value = value;
  const after = isTick ? field.checked : field.value;
  const more = field.closest("details");
  if (more && after && after !== before && value !== "none") more.open = true;
}
