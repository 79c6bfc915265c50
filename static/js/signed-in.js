// The key of whoever is signed in, nothing where nobody is; what a browser keeps for a person carries it.

export const person = document.querySelector("script[data-offline-keeper]")?.dataset.person ?? "";
