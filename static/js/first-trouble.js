// A page that came back because something typed was wrong opens at the first thing to put right, not at its top.

const wrong = document.querySelector("main [aria-invalid=true], main .errorlist");

if (wrong && document.activeElement === document.body && !window.location.hash) {
  const folded = wrong.closest("details");
  if (folded) folded.open = true;
  wrong.focus({ preventScroll: true });
  wrong.scrollIntoView({ block: "center" });
}
