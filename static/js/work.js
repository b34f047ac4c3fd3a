// The steps at the boat: what was refused is shown, and the next step comes into view.
(() => {
  "use strict";
  document.addEventListener("htmx:beforeSwap", (event) => {
    // A step that somebody else answered first comes back with both answers.
    if (event.detail.xhr.status === 409 && event.detail.target.id === "work") {
      event.detail.shouldSwap = true;
      event.detail.isError = false;
    }
  });
  document.addEventListener("htmx:sendError", () => {
    const strip = document.querySelector("#work .strip");
    if (!strip || strip.querySelector("[data-lost]")) return;
    const words = document.createElement("span");
    words.dataset.lost = "yes";
    words.textContent = "No signal: not sent. What you typed is kept; press again.";
    strip.prepend(words);
  });
  document.addEventListener("htmx:afterSettle", (event) => {
    if (event.detail.elt.id !== "work" && event.detail.target?.id !== "work") return;
    const work = document.getElementById("work");
    const wrong = work.querySelector("[data-refused]") || work.querySelector(".field.wrong input, .field.wrong textarea");
    const next = wrong || work.querySelector("[data-now]") || work.querySelector(".caution:not(.ticked) button");
    if (!next) return;
    next.focus({ preventScroll: true });
    const box = next.getBoundingClientRect();
    if (box.top < 120 || box.bottom > window.innerHeight) next.scrollIntoView({ block: "center" });
  });
})();
