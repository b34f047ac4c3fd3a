// Small help on every page: search by "/", menus that close, questions before what cannot be undone.
(() => {
  "use strict";
  const typing = (el) => el instanceof HTMLElement && (el.isContentEditable || /^(INPUT|SELECT|TEXTAREA)$/.test(el.tagName));

  document.addEventListener("keydown", (event) => {
    if (event.key === "/" && !typing(event.target) && !event.ctrlKey && !event.metaKey && !event.altKey) {
      const box = document.querySelector("[data-search]");
      if (box) { event.preventDefault(); box.focus(); box.select(); }
    }
    if (event.key === "Escape") {
      document.querySelectorAll("details[data-menu][open]").forEach((menu) => {
        menu.open = false;
        if (menu.contains(document.activeElement)) menu.querySelector("summary").focus();
      });
    }
  });
  document.addEventListener("click", (event) => {
    document.querySelectorAll("details[data-menu][open]").forEach((menu) => {
      if (!menu.contains(event.target)) menu.open = false;
    });
    if (event.target.closest("[data-print]")) window.print();
  });

  // Errors come from the server and stand beside their field; a second press sends nothing twice.
  document.addEventListener("submit", (event) => {
    const form = event.target;
    const words = (event.submitter && event.submitter.dataset.confirm) || form.dataset.confirm;
    if (words && !window.confirm(words)) { event.preventDefault(); event.stopPropagation(); return; }
    if (form.method !== "post" || form.hasAttribute("hx-post")) return;
    if (form.dataset.sent) { event.preventDefault(); return; }
    form.dataset.sent = "yes";
    window.setTimeout(() => delete form.dataset.sent, 5000);
  }, true);
  window.addEventListener("pageshow", () => document.querySelectorAll("form[data-sent]").forEach((form) => delete form.dataset.sent));

  // A wide table scrolls inside its own region, which the keyboard can reach.
  const reach = () => document.querySelectorAll(".sheet-scroll, .columns").forEach((box) => {
    const wide = box.scrollWidth > box.clientWidth + 1;
    if (!wide) { if (box.dataset.reached) { box.removeAttribute("tabindex"); } return; }
    box.dataset.reached = "yes";
    box.tabIndex = 0;
    if (!box.hasAttribute("role")) box.setAttribute("role", "region");
    if (!box.hasAttribute("aria-label") && !box.hasAttribute("aria-labelledby")) {
      const caption = box.querySelector("caption");
      const heading = document.querySelector("h1");
      box.setAttribute("aria-label", (caption || heading || {}).textContent?.trim() || "Table");
    }
  });
  const dress = (root) => {
    root.querySelectorAll("form").forEach((form) => { form.noValidate = true; });
    reach();
  };
  const start = () => {
    dress(document);
    const wrong = document.querySelector("[autofocus]");
    if (wrong && document.activeElement === document.body) wrong.focus();
  };
  window.addEventListener("resize", reach);
  document.addEventListener("DOMContentLoaded", start);
  document.addEventListener("htmx:load", (event) => { if (event.detail.elt.querySelectorAll) dress(event.detail.elt); });
  document.addEventListener("htmx:configRequest", (event) => {
    const token = document.querySelector('meta[name="csrf-token"]');
    if (token) event.detail.headers["X-CSRFToken"] = token.content;
  });
})();
