// Light or dark: follows the device until a person chooses; the choice is a cookie, so the server knows it at once.

const root = document.documentElement;
const device = window.matchMedia("(prefers-color-scheme: dark)");

const shown = () => root.dataset.theme ?? (device.matches ? "dark" : "light");
const other = () => (shown() === "dark" ? "light" : "dark");

function choose(theme) {
  root.dataset.theme = theme;
  const secure = location.protocol === "https:" ? ";secure" : "";
  document.cookie = `theme=${theme};path=/;max-age=31536000;samesite=lax${secure}`;
}

function describe(button) {
  button.querySelector("[data-theme-words]").textContent = other() === "dark" ? "Go dark" : "Go light";
}

for (const button of document.querySelectorAll("[data-theme-toggle]")) {
  button.hidden = false;
  describe(button);
  device.addEventListener("change", () => describe(button));
  button.addEventListener("click", () => {
    choose(other());
    describe(button);
  });
}
