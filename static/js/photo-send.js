// Sends one photo and says what came of it:
// { kind: "kept", answer }      stored, and filed or in the sorting tray; or on another tile already and left there
// { kind: "refused", reason }   not a photo that is kept; sending it again would change nothing
// { kind: "signed-out" }        someone must sign in first
// { kind: "later", reason }     no network, or the studio's machine is in trouble: try again

const SILENT_MS = 60_000;

// At sending time, since signing in changes it.
function token() {
  const cookie = document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1];
  return cookie ?? JSON.parse(document.body.getAttribute("hx-headers") ?? "{}")["X-CSRFToken"] ?? "";
}

function read(request) {
  try {
    return JSON.parse(request.responseText);
  } catch {
    return null;
  }
}

function outcomeOf(request, action) {
  const answer = read(request);
  const { status } = request;
  if (status >= 200 && status < 300 && answer?.photo) return { kind: "kept", answer };
  const wentElsewhere = new URL(request.responseURL || action, location.href).pathname !== new URL(action, location.href).pathname;
  if (status === 401 || status === 403 || wentElsewhere) return { kind: "signed-out" };
  if (answer?.state === "refused") return { kind: "refused", reason: answer.reason };
  if (status === 413) return { kind: "refused", reason: "This file is too large. Save it as a smaller JPEG and send that." };
  return { kind: "later", reason: answer?.reason ?? "" };
}

// The photo is the whole body, which spares the machine taking a form apart; what it shows stands in the address.
function addressOf(note) {
  const address = new URL(note.action, location.href);
  for (const [name, value] of [...note.fields, ["name", note.name]]) address.searchParams.append(name, value);
  return address;
}

// `onProgress` is told the share sent, 0 to 1. Gives up when nothing moves for a minute.
export function send(note, blob, onProgress) {
  return new Promise((resolve) => {
    const request = new XMLHttpRequest();
    let silence = setTimeout(() => request.abort(), SILENT_MS);
    const heard = () => {
      clearTimeout(silence);
      silence = setTimeout(() => request.abort(), SILENT_MS);
    };
    request.upload.addEventListener("progress", (event) => {
      heard();
      if (event.lengthComputable) onProgress(event.loaded / event.total);
    });
    request.addEventListener("load", () => resolve(outcomeOf(request, note.action)));
    for (const failed of ["error", "abort"]) request.addEventListener(failed, () => resolve({ kind: "later", reason: "" }));
    request.addEventListener("loadend", () => clearTimeout(silence));
    request.open("POST", addressOf(note));
    request.setRequestHeader("Accept", "application/json");
    request.setRequestHeader("X-CSRFToken", token());
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.send(blob);
  });
}
