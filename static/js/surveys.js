// A survey sheet: say when there is no signal, and keep count of what is answered.
(() => {
  "use strict";
  const waits = () => document.getElementById("survey-waits");
  const show = (yes) => { const box = waits(); if (box) box.hidden = !yes; };
  document.addEventListener("htmx:sendError", () => show(true));
  document.addEventListener("htmx:timeout", () => show(true));
  document.addEventListener("htmx:responseError", (event) => { if (event.detail.xhr.status >= 500) show(true); });
  // A refused answer comes back as its own part of the page, with the words beside the field.
  document.addEventListener("htmx:beforeSwap", (event) => {
    if (event.detail.xhr.status === 422 && event.detail.target.closest(".survey-item")) {
      event.detail.shouldSwap = true;
      event.detail.isError = false;
    }
  });
  document.addEventListener("htmx:afterSwap", () => {
    show(false);
    const count = document.getElementById("survey-count");
    if (!count) return;
    const done = document.querySelectorAll(".survey-item:not([data-state=open])").length;
    count.textContent = `${done} of ${count.dataset.count}`;
  });
})();
