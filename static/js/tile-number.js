// Catches a wrong or swapped digit of a tile number as it is typed, in every input with data-tile-number. In a .field the
// words stand under the box. data-tile-number="free" wants numbers that no tile has, several with a comma between;
// with data-tile-number-address the studio's log is asked too.
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

// What is wrong with one number as typed, or "" when nothing is.
export function complaint(typed) {
  const text = typed.trim();
  if (text === "") return "";
  if (!/^\d+\s*[-–‑]?\s*\d$/.test(text)) return "A tile number is digits, a dash and a check digit, as in 1042-9.";
  if (!isSound(text.replace(/\D/g, ""))) {
    return `${text}: one digit is wrong or two are swapped. Look at the number once more.`;
  }
  return "";
}

const isSeveral = (input) => input.dataset.tileNumber === "free";
const numbersIn = (input) => (isSeveral(input) ? input.value.split(/[,;]/) : [input.value]).map((each) => each.trim()).filter(Boolean);
// While a person is still typing only a finished number (dash and check digit) is judged.
const isFinished = (typed) => /^\d+[-–‑]\d$/.test(typed);

function place(input) {
  const field = input.closest(".field");
  if (!field) return null;
  const found = field.querySelector("[data-tile-number-says]");
  if (found) return found;
  const made = document.createElement("p");
  made.className = "errorlist";
  made.setAttribute("role", "status");
  made.dataset.tileNumberSays = "";
  made.hidden = true;
  field.append(made);
  return made;
}

function say(input, words) {
  input.setCustomValidity(words);
  input.removeAttribute("aria-invalid");
  if (words) input.setAttribute("aria-invalid", "true");
  input.title = words;
  const says = place(input);
  if (!says) return;
  says.textContent = words;
  says.hidden = !words;
}

const asked = new WeakMap();

// Asks the log about sound numbers; a slow answer to an older question is dropped, no answer is no complaint.
async function askLog(input, numbers) {
  const { tileNumberAddress: address, tileNumber: wanted } = input.dataset;
  if (!address || !numbers.length) return;
  const question = {};
  asked.set(input, question);
  const questions = numbers.map((number) => fetch(`${address}?${new URLSearchParams({ number, for: wanted })}`));
  try {
    const answers = await Promise.all(questions);
    const wrong = answers.find((answer) => answer.status === 422);
    const words = wrong ? (await wrong.json()).words : "";
    if (asked.get(input) === question && words) say(input, words);
  } catch {
    // No network: the number is checked again when the page is sent.
  }
}

function judge(input, isLeft) {
  const ready = numbersIn(input).filter((typed) => isLeft || isFinished(typed));
  const words = ready.map(complaint).find(Boolean) ?? "";
  asked.delete(input);
  say(input, words);
  if (!words) askLog(input, ready);
}

document.addEventListener("input", (event) => {
  if (event.target.matches?.("[data-tile-number]")) judge(event.target, false);
});

document.addEventListener("change", (event) => {
  if (event.target.matches?.("[data-tile-number]")) judge(event.target, true);
});
