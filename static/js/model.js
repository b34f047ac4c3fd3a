// The form of a model: updates choose among the releases that stand in the sheet above.
(() => {
  "use strict";
  const fill = (sheet, list) => {
    const names = [...sheet.querySelectorAll("tr[data-row]:not(.struck) input[name$='-name']")].map((el) => el.value.trim()).filter(Boolean);
    list.replaceChildren(...names.map((name) => Object.assign(document.createElement("option"), { value: name })));
  };
  document.addEventListener("DOMContentLoaded", () => {
    const sheet = document.querySelector("[data-releases]");
    const list = document.getElementById("release-names");
    if (!sheet || !list) return;
    fill(sheet, list);
    sheet.addEventListener("input", () => fill(sheet, list));
    sheet.addEventListener("change", () => fill(sheet, list));
  });
})();
