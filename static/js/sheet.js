// Fast entry: a formset as a sheet that is filled by keyboard alone.
(() => {
  "use strict";
  const rowsOf = (sheet) => [...sheet.querySelectorAll("tbody > tr[data-row]")];
  const total = (sheet) => sheet.querySelector("input[name$='-TOTAL_FORMS']");
  const controls = (row) => [...row.querySelectorAll("input, select, textarea")];
  const open = (row) => controls(row).filter((el) => el.type !== "hidden" && !el.name.endsWith("-DELETE") && !el.disabled);
  const suffix = (el) => el.name.replace(/^.*?-\d+-/, "");

  const fresh = (sheet) => {
    const count = Number(total(sheet).value);
    const most = Number(sheet.querySelector("input[name$='-MAX_NUM_FORMS']")?.value || 1000);
    if (count >= most) return null;
    const holder = document.createElement("tbody");
    holder.innerHTML = sheet.querySelector("template[data-empty-row]").innerHTML.replaceAll("__prefix__", String(count));
    const row = holder.querySelector("tr");
    row.querySelector("[data-row-no]").textContent = String(count + 1);
    sheet.querySelector("tbody").append(row);
    total(sheet).value = String(count + 1);
    row.dispatchEvent(new CustomEvent("sheet:row", { bubbles: true }));
    return row;
  };
  const focusFirst = (row) => { const first = open(row)[0]; if (first) { first.focus(); first.select?.(); } };
  const copy = (from, to) => {
    const values = new Map(controls(from).map((el) => [suffix(el), el]));
    controls(to).forEach((el) => {
      const source = values.get(suffix(el));
      const kept = !source || el.type === "file" || el.name.endsWith("-DELETE") || source.hasAttribute("data-no-copy");
      if (kept || (el.type === "hidden" && !el.hasAttribute("data-pick-value"))) return;
      if (el.type === "checkbox" || el.type === "radio") el.checked = source.checked;
      else el.value = source.value;
    });
    to.dispatchEvent(new Event("change", { bubbles: true }));
  };
  const strike = (row) => {
    const tick = row.querySelector("input[name$='-DELETE']");
    if (!tick) return;
    tick.checked = !tick.checked;
    mark(row);
    tick.dispatchEvent(new Event("change", { bubbles: true }));
  };
  const mark = (row) => {
    const tick = row.querySelector("input[name$='-DELETE']");
    const struck = Boolean(tick && tick.checked);
    row.classList.toggle("struck", struck);
    const button = row.querySelector("[data-sheet=strike]");
    if (button) button.textContent = struck ? "Keep" : "Strike";
  };
  const act = {
    add: (sheet) => { const row = fresh(sheet); if (row) focusFirst(row); },
    again: (sheet, row) => {
      const to = row && fresh(sheet);
      if (to) { copy(row, to); focusFirst(to); }
    },
    above: (sheet, row) => {
      const rows = rowsOf(sheet);
      const before = rows[rows.indexOf(row) - 1];
      if (before) copy(before, row);
    },
    strike: (sheet, row) => { if (row) strike(row); },
  };
  const down = (sheet, row, el) => {
    const rows = rowsOf(sheet);
    const next = rows[rows.indexOf(row) + 1];
    if (!next) { act.add(sheet); return; }
    const same = open(next).find((other) => suffix(other) === suffix(el));
    if (same) { same.focus(); same.select?.(); } else focusFirst(next);
  };

  const wish = (event) => {
    const key = event.key.toLowerCase();
    if (event.altKey && event.code === "KeyN") return "add";
    if (event.altKey && event.code === "KeyD") return "again";
    if (event.ctrlKey && key === "d") return "above";
    if (event.altKey && event.key === "Backspace") return "strike";
    return "";
  };
  document.addEventListener("keydown", (event) => {
    const sheet = event.target instanceof Element && event.target.closest("[data-sheet-entry]");
    if (!sheet || event.defaultPrevented) return;
    const row = event.target.closest("tr[data-row]");
    const what = wish(event);
    if (what) { event.preventDefault(); act[what](sheet, row); return; }
    const plain = !event.altKey && !event.ctrlKey && !event.metaKey && !event.shiftKey;
    if (event.key === "Enter" && plain && row && /^(INPUT|SELECT)$/.test(event.target.tagName)) {
      event.preventDefault();
      down(sheet, row, event.target);
    } else if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) {
      event.preventDefault();
      sheet.closest("form").requestSubmit();
    }
  });
  document.addEventListener("click", (event) => {
    const button = event.target instanceof Element && event.target.closest("[data-sheet]");
    const sheet = button && button.closest("[data-sheet-entry]");
    if (sheet) act[button.dataset.sheet]?.(sheet, button.closest("tr[data-row]") || rowsOf(sheet).at(-1));
  });
  const dress = (root) => {
    const sheets = root.querySelectorAll("[data-sheet-entry]");
    sheets.forEach((sheet) => { sheet.classList.toggle("many", sheets.length > 1); rowsOf(sheet).forEach(mark); });
  };
  document.addEventListener("DOMContentLoaded", () => dress(document));
  document.addEventListener("change", (event) => { const row = event.target.closest?.("tr[data-row]"); if (row) mark(row); });

  // For the drafts: bring a sheet to so many rows.
  window.desk = window.desk || {};
  window.desk.growSheets = (form, values) => form.querySelectorAll("[data-sheet-entry]").forEach((sheet) => {
    const wanted = Number(values[total(sheet).name] || 0);
    while (Number(total(sheet).value) < wanted && fresh(sheet)) { /* one row more each time */ }
  });
})();
