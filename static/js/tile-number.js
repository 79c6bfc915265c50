// Catches a wrong or swapped digit of a tile number as it is typed, in every input with data-tile-number.
// Table: the totally anti-symmetric quasigroup of order 10 in H. M. Damm, "Total anti-symmetrische
// Quasigruppen", dissertation, Philipps-Universität Marburg 2004, as commonly published.

const TABLE = [
  "0317598642",
  "7092154863",
  "4206871359",
  "1750983426",
  "6123045978",
  "3674209581",
  "5869720134",
  "8945362017",
  "9438617205",
  "2581436790",
];

// True when the last digit is the check digit of those before it.
export const isSound = (digits) => [...digits].reduce((row, digit) => Number(TABLE[row][Number(digit)]), 0) === 0;

// What is wrong with the number as typed, or "" when nothing is.
export function complaint(typed) {
  const text = typed.trim();
  if (text === "") return "";
  if (!/^\d+\s*[-–‑]?\s*\d$/.test(text)) return "A tile number is digits, a dash and a check digit, as in 1042-9.";
  if (!isSound(text.replace(/\D/g, ""))) return "One digit is wrong or two are swapped. Look at the number once more.";
  return "";
}

// While a person is still typing only a finished number (dash and check digit) is judged.
function judge(input, isFinished) {
  const typed = input.value.trim();
  const words = isFinished || /^\d+[-–‑]\d$/.test(typed) ? complaint(typed) : "";
  input.setCustomValidity(words);
  input.toggleAttribute("aria-invalid", false);
  if (words) input.setAttribute("aria-invalid", "true");
  input.title = words;
}

document.addEventListener("input", (event) => {
  if (event.target.matches?.("[data-tile-number]")) judge(event.target, false);
});

document.addEventListener("change", (event) => {
  if (event.target.matches?.("[data-tile-number]")) judge(event.target, true);
});
