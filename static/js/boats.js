// Survey sheets and the boat's form: releases of the model in the row, names of locations, hull number, metres.
(() => {
  "use strict";
  const fetched = new Map();
  const text = async (address) => {
    if (!fetched.has(address)) fetched.set(address, fetch(address, { headers: { "X-Requested-With": "fetch" } }).then((answer) => (answer.ok ? answer.text() : "")));
    return fetched.get(address);
  };

  // The list behind a release follows the model of its row.
  const offerReleases = async (field) => {
    const row = field.closest("tr[data-row], form");
    const model = row.querySelector("[name$='model'][data-pick-value]")?.value;
    const form = field.closest("form");
    if (!model || !form.dataset.releasesUrl) { field.removeAttribute("list"); return; }
    const id = `releases-${model}`;
    if (!document.getElementById(id)) {
      const list = document.createElement("datalist");
      list.id = id;
      form.append(list);
      list.innerHTML = await text(`${form.dataset.releasesUrl}?model=${encodeURIComponent(model)}`);
    }
    field.setAttribute("list", id);
  };

  // Routes may name a location that was typed a moment ago.
  const offerPlaces = () => {
    const list = document.getElementById("place-names");
    if (!list) return;
    const names = [...document.querySelectorAll("input[data-place-name]")].map((el) => el.value.trim()).filter(Boolean);
    list.replaceChildren(...[...new Set(names)].map((name) => { const option = document.createElement("option"); option.value = name; return option; }));
  };

  const METRES_PER_FOOT = 0.3048;
  const showMetres = (field) => {
    let note = field.parentElement.querySelector(".in-metres");
    if (!note) {
      note = document.createElement("span");
      note.className = "in-metres";
      field.after(note);
    }
    const length = Number(field.value.replace(",", "."));
    note.textContent = field.value.trim() && length > 0 ? `${(length * METRES_PER_FOOT).toFixed(1)} m` : "";
  };

  let timer = 0;
  const readHull = (field) => {
    window.clearTimeout(timer);
    timer = window.setTimeout(async () => {
      const address = new URL(field.closest("form").dataset.hullUrl, window.location.href);
      address.searchParams.set("hull_number_read", field.value);
      const html = await text(address.href);
      const note = document.getElementById("hull-note");
      if (note && html) note.outerHTML = html;
    }, 250);
  };

  document.addEventListener("focusin", (event) => {
    if (event.target.matches?.("input[data-releases]")) offerReleases(event.target);
    if (event.target.matches?.("input[list='place-names']")) offerPlaces();
  });
  document.addEventListener("input", (event) => {
    if (event.target.matches?.("input[data-feet]")) showMetres(event.target);
    if (event.target.matches?.("input[data-hull-number]")) readHull(event.target);
  });
  document.addEventListener("DOMContentLoaded", () => document.querySelectorAll("input[data-feet]").forEach(showMetres));
})();
