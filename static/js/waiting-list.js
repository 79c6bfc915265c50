// What is to be sent by this person's phone once the network is back, each by the address it is sent to, in order; it
// outlives a reload and a closed tab.

import { drop as clear, keep as shelve, read } from "./browser-shelf.js";
import { person } from "./signed-in.js";

export function waitingList(what) {
  const name = `${what} waiting for ${person}`;
  const waiting = () => read(name) ?? [];

  function keep(list) {
    if (list.length) shelve(name, list);
    else clear(name);
  }

  const drop = (action) => keep(waiting().filter((each) => each.action !== action));
  return { waiting, keep, drop };
}

// What a form holds, without the token that every page has anew.
export function valuesOf(form) {
  const { csrfmiddlewaretoken: _, ...values } = Object.fromEntries(new FormData(form));
  return values;
}

// Whether the studio's machine has taken it in or refused it for good, in words that its answer shows.
export function isAnswered(xhr, under, refusals) {
  const isOurs = xhr.status > 0 && new URL(xhr.responseURL || location.href).pathname.startsWith(under);
  return isOurs && (xhr.status < 400 || refusals.includes(xhr.status));
}
