// The form of a statement: show only the parts that the chosen kind of rule has, under fitting words.
(() => {
  "use strict";
  const WORDS = {
    at_most: { a: "At most so many of these", w: "Only where the network has one of these (all empty: always)" },
    at_least: { a: "At least so many of these", w: "Only where the network has one of these (all empty: always)" },
    only: { a: "Of all these", b: "Only these may be on the network", w: "Only where the network has one of these (all empty: always)" },
    same_release: { a: "All of these stand at the same release" },
    before: { a: "These are updated first", b: "These after them" },
  };
  const dress = (form) => {
    const verb = form.querySelector("select[name=verb]");
    const words = WORDS[verb.value] || WORDS.at_most;
    form.querySelectorAll("[data-slot]").forEach((part) => {
      const text = words[part.dataset.slot];
      part.hidden = !text;
      if (text) part.querySelector("[data-legend]").textContent = text;
    });
    form.querySelector("[data-count]").hidden = !verb.value.startsWith("at_");
  };
  document.addEventListener("DOMContentLoaded", () => {
    document.querySelectorAll("form[data-statement]").forEach((form) => {
      dress(form);
      form.addEventListener("change", (event) => { if (event.target.name === "verb") dress(form); });
    });
  });
})();
