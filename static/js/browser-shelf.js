// What this browser keeps for a page from one visit to the next. One that keeps nothing, or is full, stops no page: what
// was typed or tapped still stands there.

export function read(name) {
  try {
    return JSON.parse(localStorage.getItem(name));
  } catch {
    return null;
  }
}

export function keep(name, value) {
  try {
    localStorage.setItem(name, JSON.stringify(value));
  } catch {
    // No room in this browser.
  }
}

export function drop(name) {
  try {
    localStorage.removeItem(name);
  } catch {
    // Nothing was kept.
  }
}

export function namesBeginning(prefix) {
  try {
    return Object.keys(localStorage).filter((name) => name.startsWith(prefix));
  } catch {
    return [];
  }
}
