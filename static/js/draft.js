// A half-filled form survives a reload: kept on this device, per person, until it is saved.
(() => {
  "use strict";
  const DAYS_KEPT = 14;
  const PREFIX = "desk-draft:";
  const SENT = "desk-draft-sent";
  const person = () => document.body.dataset.person || "nobody";
  const nameOf = (form) => `${PREFIX}${person()}:${form.dataset.draft}`;
  const read = (key) => {
    try { return JSON.parse(localStorage.getItem(key)); } catch { return null; }
  };
  const write = (key, values) => {
    try { localStorage.setItem(key, JSON.stringify({ at: Date.now(), values })); } catch { /* full: the form itself still holds all */ }
  };
  const kept = (el) => {
    if (!el.name || el.disabled || el.hasAttribute("data-no-draft")) return false;
    if (el.type === "hidden") return el.hasAttribute("data-pick-value") || el.name.endsWith("-TOTAL_FORMS");
    return !["password", "file", "submit", "button", "reset"].includes(el.type);
  };
  const valuesOf = (form) => {
    const values = {};
    [...form.elements].filter(kept).forEach((el) => {
      if (el.type === "radio") { if (el.checked) values[el.name] = el.value; return; }
      if (el.type === "checkbox") { (values[el.name] = values[el.name] || []).push(...(el.checked ? [el.value] : [])); return; }
      values[el.name] = el.multiple ? [...el.selectedOptions].map((option) => option.value) : el.value;
    });
    return values;
  };
  const fill = (form, values) => {
    window.desk?.growSheets?.(form, values);
    [...form.elements].filter(kept).forEach((el) => {
      if (!(el.name in values) || el.name.endsWith("-TOTAL_FORMS")) return;
      const value = values[el.name];
      if (el.type === "radio") el.checked = el.value === value;
      else if (el.type === "checkbox") el.checked = value.includes(el.value);
      else if (el.multiple) [...el.options].forEach((option) => { option.selected = value.includes(option.value); });
      else el.value = value;
      if (el.type === "checkbox") el.dispatchEvent(new Event("change", { bubbles: true }));
    });
  };
  const line = (form) => {
    const box = document.createElement("div");
    box.className = "draft-line";
    box.setAttribute("role", "status");
    box.append("Restored what you had typed.");
    const button = document.createElement("button");
    button.type = "button";
    button.className = "button quiet small";
    button.textContent = "Discard it";
    button.addEventListener("click", () => { form.dispatchEvent(new Event("draft:drop")); localStorage.removeItem(nameOf(form)); window.location.reload(); });
    box.append(button);
    form.before(box);
  };
  const start = (form) => {
    if (form.dataset.draftOn) return;
    form.dataset.draftOn = "yes";
    const first = JSON.stringify(valuesOf(form));
    const draft = read(nameOf(form));
    const refused = form.querySelector(".error, [role=alert]");
    if (draft && !refused && JSON.stringify(draft.values) !== first) { fill(form, draft.values); line(form); }
    let timer = 0;
    const keepNow = () => {
      if (!timer) return;
      window.clearTimeout(timer);
      timer = 0;
      const now = valuesOf(form);
      if (JSON.stringify(now) === first && !refused) localStorage.removeItem(nameOf(form));
      else write(nameOf(form), now);
    };
    const keep = () => {
      window.clearTimeout(timer);
      timer = window.setTimeout(keepNow, 250);
    };
    window.addEventListener("pagehide", keepNow);
    form.addEventListener("draft:drop", () => { window.clearTimeout(timer); timer = 0; });
    form.addEventListener("input", keep);
    form.addEventListener("change", keep);
    form.addEventListener("sheet:row", keep);
    form.addEventListener("submit", () => {
      write(nameOf(form), valuesOf(form));
      window.clearTimeout(timer);
      timer = 0;
      sessionStorage.setItem(SENT, JSON.stringify({ key: nameOf(form), path: window.location.pathname }));
    });
    form.addEventListener("htmx:afterRequest", (event) => { if (event.detail.successful) localStorage.removeItem(nameOf(form)); });
  };

  // After a form was sent: its draft goes only when the page that came says that it was saved.
  const settle = () => {
    document.querySelectorAll("[data-draft-saved]").forEach((el) => localStorage.removeItem(`${PREFIX}${person()}:${el.dataset.draftSaved}`));
    let sent = null;
    try { sent = JSON.parse(sessionStorage.getItem(SENT)); } catch { /* nothing sent */ }
    if (!sent || document.body.classList.contains("plain")) return;
    sessionStorage.removeItem(SENT);
    const praised = document.querySelector(".status .notice.good");
    const elsewhere = window.location.pathname !== sent.path && !document.querySelector(".field .error, .entry .error");
    if (praised || elsewhere) localStorage.removeItem(sent.key);
  };
  const sweep = () => Object.keys(localStorage).filter((key) => key.startsWith(PREFIX)).forEach((key) => {
    const draft = read(key);
    if (!draft || Date.now() - draft.at > DAYS_KEPT * 86400000) localStorage.removeItem(key);
  });
  document.addEventListener("DOMContentLoaded", () => {
    settle();
    sweep();
    document.querySelectorAll("form[data-draft]").forEach(start);
  });
  document.addEventListener("htmx:load", (event) => event.detail.elt.querySelectorAll?.("form[data-draft]").forEach(start));
})();
