// A type-ahead combobox: type, choose with the arrows, take with Enter or Tab, leave with Esc.
(() => {
  "use strict";
  const WAIT_MS = 90;
  const states = new WeakMap();
  let voice;

  const parts = (text) => {
    const box = text.closest("[data-pick]");
    return { box, text, value: box.querySelector("[data-pick-value]"), list: box.querySelector("[role=listbox]") };
  };
  const state = (text) => {
    if (!states.has(text)) states.set(text, { timer: 0, request: null, at: -1 });
    return states.get(text);
  };
  const say = (words) => {
    if (!voice) {
      voice = document.createElement("p");
      voice.className = "out-of-sight";
      voice.setAttribute("role", "status");
      document.body.append(voice);
    }
    voice.textContent = words;
  };
  const options = (list) => [...list.querySelectorAll("[role=option]:not([aria-disabled])")];

  const close = (text) => {
    const { list } = parts(text);
    window.clearTimeout(state(text).timer);
    state(text).request?.abort();
    list.hidden = true;
    text.setAttribute("aria-expanded", "false");
    text.removeAttribute("aria-activedescendant");
  };
  const light = (text, at) => {
    const { list } = parts(text);
    const all = options(list);
    state(text).at = all.length ? (at + all.length) % all.length : -1;
    all.forEach((option, index) => option.setAttribute("aria-selected", String(index === state(text).at)));
    const lit = all[state(text).at];
    if (lit) { text.setAttribute("aria-activedescendant", lit.id); lit.scrollIntoView({ block: "nearest" }); }
    else text.removeAttribute("aria-activedescendant");
  };
  // Inside a table that scrolls the list would be cut off: there it hangs from the window.
  const place = (text) => {
    const { list } = parts(text);
    if (list.hidden || !text.closest(".sheet-scroll")) return;
    const at = text.getBoundingClientRect();
    const width = Math.max(at.width, 280);
    Object.assign(list.style, {
      position: "fixed", right: "auto", width: `${width}px`, top: `${at.bottom + 2}px`,
      left: `${Math.max(8, Math.min(at.left, window.innerWidth - width - 8))}px`,
    });
  };
  const show = (text, html, typed) => {
    const { box, list } = parts(text);
    list.innerHTML = html;
    list.querySelectorAll("[role=option]").forEach((option, index) => {
      option.id = `${list.id}_${index}`;
      option.setAttribute("aria-selected", "false");
    });
    list.hidden = false;
    text.setAttribute("aria-expanded", "true");
    place(text);
    const found = options(list).length;
    state(text).at = -1;
    if (typed && found && !("free" in box.dataset)) light(text, 0);
    say(found === 1 ? "1 match" : `${found} matches`);
  };
  const fetchFor = async (text, typed) => {
    const { box } = parts(text);
    const mine = state(text);
    mine.request?.abort();
    mine.request = new AbortController();
    const address = new URL(box.dataset.url, window.location.href);
    address.searchParams.set("q", typed ? text.value : "");
    try {
      const answer = await fetch(address, { signal: mine.request.signal, headers: { "X-Requested-With": "fetch" } });
      if (answer.ok && document.activeElement === text) show(text, await answer.text(), typed);
    } catch (error) {
      if (error.name !== "AbortError") say("The list could not be fetched. Type the name in full.");
    }
  };
  const later = (text) => {
    window.clearTimeout(state(text).timer);
    state(text).timer = window.setTimeout(() => fetchFor(text, text.value.trim() !== ""), WAIT_MS);
  };
  const take = (text, option) => {
    const { value } = parts(text);
    text.value = option.dataset.label;
    if (value) {
      value.value = option.dataset.value;
      value.dispatchEvent(new Event("change", { bubbles: true }));
    }
    close(text);
    text.dispatchEvent(new Event("change", { bubbles: true }));
  };
  const lit = (text) => options(parts(text).list)[state(text).at];

  const isPick = (el) => el instanceof HTMLElement && el.hasAttribute("data-pick-text");
  document.addEventListener("input", (event) => {
    if (!isPick(event.target)) return;
    const { value } = parts(event.target);
    if (value) value.value = "";
    later(event.target);
  });
  document.addEventListener("keydown", (event) => {
    const text = event.target;
    if (!isPick(text) || event.altKey || event.ctrlKey || event.metaKey) return;
    const open = !parts(text).list.hidden;
    const chosen = open ? lit(text) : null;
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      if (!open) fetchFor(text, false);
      else light(text, state(text).at + (event.key === "ArrowDown" ? 1 : state(text).at < 0 ? 0 : -1));
    } else if (event.key === "Enter" && chosen) {
      event.preventDefault();
      event.stopImmediatePropagation();
      take(text, chosen);
    } else if (event.key === "Tab" && chosen) {
      take(text, chosen);
    } else if (event.key === "Escape" && open) {
      event.preventDefault();
      event.stopImmediatePropagation();
      close(text);
    }
  }, true);
  document.addEventListener("mousedown", (event) => {
    if (event.target instanceof Element && event.target.closest(".pick-list")) event.preventDefault();
  });
  document.addEventListener("click", (event) => {
    if (!(event.target instanceof Element)) return;
    const option = event.target.closest(".pick-list [role=option]:not([aria-disabled])");
    if (option) {
      take(option.closest("[data-pick]").querySelector("[data-pick-text]"), option);
    } else if (isPick(event.target) && parts(event.target).list.hidden) {
      fetchFor(event.target, false);
    }
  });
  document.addEventListener("scroll", () => { if (isPick(document.activeElement)) place(document.activeElement); }, { capture: true, passive: true });
  document.addEventListener("focusout", (event) => { if (isPick(event.target)) close(event.target); });
})();
