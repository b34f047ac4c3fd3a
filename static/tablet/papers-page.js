// Drawing, parts in the tote, problems, photos and papers, as they were when the job was taken along.
import { badge, h, link, moment } from "./dom.js";
import { paperAddress, photoAddress } from "./jobs.js";
import { powerPart } from "./power-part.js";
import { problemForm } from "./problem-form.js";

export async function papersPage(job, again) {
  return [drawing(job), powerPart(job), tote(job), problems(job, again), photos(job), papers(job)];
}

function drawing(job) {
  if (!job.drawing) return h("p", {}, "The drawing is not on the tablet yet. It comes with the next signal.");
  const box = h("div", { class: "drawing" });
  // The desk's own drawing, sanitised by being parsed as an image format and stripped of scripts.
  const parsed = new DOMParser().parseFromString(job.drawing, "image/svg+xml").documentElement;
  for (const node of parsed.querySelectorAll("script, foreignObject")) node.remove();
  box.append(document.importNode(parsed, true));
  const rows = job.ports.filter((row) => row.unit <= row.other);
  return h("section", {}, h("h2", {}, "Drawing, before and after"), box,
    h("details", { class: "more" }, h("summary", {}, "Port map as a table"), h("div", { class: "sheet-scroll", tabindex: "0", role: "region", "aria-label": "Port map" }, h("table", { class: "sheet" }, h("thead", {}, h("tr", {}, ["From", "Port", "To", "Port", "Cable"].map((text) => h("th", { scope: "col" }, text)))),
      h("tbody", {}, rows.map((row) => h("tr", {}, [row.unit, row.port, row.other, row.other_port, `${row.cable}${row.new ? " (new)" : ""}`].map((text) => h("td", {}, text)))))))));
}

function tote(job) {
  return h("section", {}, h("h2", {}, "Parts in the tote"), job.tote.length ? h("ul", { class: "tote" }, job.tote.map((line) => h("li", {}, h("b", {}, `${line.wanted} ×`), h("span", {}, line.name, h("span", { class: "sub" }, `${line.number}${line.note ? `, ${line.note}` : ""}`)), line.short ? badge("look", "Short") : line.spare ? badge("quiet", "Spare") : null))) : h("p", {}, "No parts are needed."));
}

function problems(job, again) {
  const rows = [...job.newProblems.map((row) => ({ symptom: job.choices.symptoms[row.body.symptom], words: row.body.words, unit: row.body.unit, by: "waits to be sent", at: row.at })), ...job.problems];
  return h("section", {}, h("h2", {}, "Problems"), rows.length ? h("ul", {}, rows.map((row) => h("li", {}, h("b", {}, row.symptom), row.unit ? ` on ${row.unit}` : "", `: ${row.words} `, h("span", { class: "quiet-text" }, `${row.by}, ${moment(row.at)}`)))) : h("p", {}, "None noted."),
    h("details", { class: "more" }, h("summary", {}, "Note a problem"), problemForm(job, null, again)));
}

function photos(job) {
  if (!job.photos.length) return null;
  return h("section", {}, h("h2", {}, "Photos of this boat"), h("ul", { class: "thumbnails" }, job.photos.map((one) => h("li", {}, h("img", { src: photoAddress(one.pk), alt: one.caption || `Photo of ${moment(one.at)}`, loading: "lazy" }), h("span", {}, one.caption)))));
}

function papers(job) {
  return h("section", {}, h("h2", {}, "Papers"), job.documents.length ? h("ul", { class: "plain-list" }, job.documents.map((one) => h("li", {}, link(`${one.kind}, version ${one.version}`, paperAddress(one.pk), "row-link", { target: "_blank", rel: "noopener" })))) : h("p", {}, "No papers are ready."));
}
