// Makes a passkey, and signs in by one: fetches what the device is to be asked, has the browser ask it, sends what it answered.
// Both forms are hidden until this runs in a browser that can. Source: W3C Web Authentication Level 3, 5.1.

// Bytes travel as base64url.
const bytesOf = (text) => Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (letter) => letter.charCodeAt(0));
const textOf = (buffer) =>
  btoa(String.fromCharCode(...new Uint8Array(buffer)))
    .replaceAll("+", "-")
    .replaceAll("/", "_")
    .replaceAll("=", "");

const withBytes = (known) => known?.map((one) => ({ ...one, id: bytesOf(one.id) }));

function askable({ challenge, user, excludeCredentials, allowCredentials, ...rest }) {
  const asked = { ...rest, challenge: bytesOf(challenge) };
  if (user) asked.user = { ...user, id: bytesOf(user.id) };
  if (excludeCredentials) asked.excludeCredentials = withBytes(excludeCredentials);
  if (allowCredentials) asked.allowCredentials = withBytes(allowCredentials);
  return asked;
}

const SAID = ["clientDataJSON", "attestationObject", "authenticatorData", "signature", "userHandle"];

function sendable({ id, rawId, type, response }) {
  const told = Object.fromEntries(SAID.filter((part) => response[part]).map((part) => [part, textOf(response[part])]));
  if (response.getTransports) told.transports = response.getTransports();
  return JSON.stringify({ id, rawId: textOf(rawId), type, response: told });
}

// What went wrong, in words; `field` is the one it is about.
class Trouble extends Error {
  constructor(words, field = "") {
    super(words);
    this.field = field;
  }
}

async function send(address, fields) {
  const answer = await fetch(address, { method: "POST", body: fields, credentials: "same-origin" }).catch(() => null);
  if (!answer) throw new Trouble("That did not reach the studio’s machine. Press the button again.");
  const told = answer.headers.get("Content-Type")?.startsWith("application/json") ? await answer.json() : null;
  if (told?.trouble) throw new Trouble(told.trouble, told.field);
  if (!told || !answer.ok) throw new Trouble("You may have been signed out. Load this page again.");
  return told;
}

// A browser does not tell one from another: given up, not unlocked, too late, no passkey there.
const GIVEN_UP = {
  create: "Your device was not unlocked, so nothing was made. Press the button to try again.",
  get: "Your device was not unlocked, or holds no passkey for this studio. Press the button to try again.",
};

const BY_BROWSER = {
  InvalidStateError: "This device holds a passkey of yours for this studio already.",
  SecurityError: "This browser allows no passkeys at this address.",
  NotSupportedError: "This device makes no passkey that would do. Take your phone, or another browser.",
};

async function run(form) {
  const asked = askable(await send(form.dataset.ask, new FormData(form)));
  const credential = await navigator.credentials[form.dataset.passkey]({ publicKey: asked });
  const fields = new FormData(form);
  fields.delete("password");
  fields.set("answer", sendable(credential));
  const { next } = await send(form.dataset.answer, fields);
  location.assign(next);
}

function tell(form, { message, name, field }) {
  const place = form.querySelector("[data-trouble]");
  place.textContent = (name === "NotAllowedError" ? GIVEN_UP[form.dataset.passkey] : BY_BROWSER[name]) ?? message;
  place.hidden = false;
  form.elements[field]?.focus();
}

let isAsking = false;

async function whenSent(event) {
  event.preventDefault();
  if (isAsking) return;
  isAsking = true;
  const form = event.currentTarget;
  form.querySelector("[data-trouble]").hidden = true;
  try {
    await run(form);
  } catch (trouble) {
    tell(form, trouble);
  } finally {
    isAsking = false;
  }
}

if (window.PublicKeyCredential && navigator.credentials) {
  for (const form of document.querySelectorAll("[data-passkey]")) {
    form.addEventListener("submit", whenSent);
    form.hidden = false;
  }
  for (const words of document.querySelectorAll("[data-passkey-cannot]")) words.hidden = true;
}
