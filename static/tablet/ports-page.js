// Expected against real, port by port: which cable, which light, what it means on this model.
import { badge, button, h, link } from "./dom.js";
import { judgeLight, modelName } from "./checks.js";
import { setting } from "./jobs.js";
import { save } from "./saving.js";

const PATTERNS = [["steady", "steady"], ["flashing", "flashing"]];

export async function portsPage(job, again) {
  if (!job.ports.length) return [h("h2", {}, "Ports"), h("p", {}, "This plan has no network links.")];
  const units = [...new Set(job.ports.map((row) => row.unit))];
  const lit = units.filter((unit) => modelOfUnit(job, unit).lights.length);
  const unlit = units.filter((unit) => !lit.includes(unit));
  return [h("h2", {}, "Port by port"), h("p", {}, "Press the light that you see. A light says that cable and both ends agree on a link; it does not say that the units accept each other. "),
    lit.map((unit) => unitPart(job, unit, again)),
    unlit.length ? h("details", { class: "more", open: !lit.length }, h("summary", {}, `Units whose lights are not in the catalogue: ${unlit.join(", ")}`), unlit.map((unit) => unitPart(job, unit, again))) : null];
}

const modelOfUnit = (job, unit) => job.catalogue[job.ports.find((row) => row.unit === unit).model] || { lights: [] };

function unitPart(job, unit, again) {
  const rows = job.ports.filter((row) => row.unit === unit);
  const model = job.catalogue[rows[0].model];
  return h("section", { class: "ports" }, h("h3", {}, `${unit} `, h("span", { class: "sub" }, modelName(job, rows[0].model))),
    model && model.lights.length ? null : h("p", { class: "quiet-text" }, "The catalogue has no table of lights for this model. Dark ports here say nothing by themselves."),
    rows.map((row) => portCard(job, row, model, again)));
}

function choices(model) {
  const lights = model ? model.lights : [];
  const colours = [...new Set(lights.map((one) => one.colour).filter(Boolean))];
  const known = (colours.length ? colours : ["green", "amber"]).flatMap((colour) => PATTERNS.map(([pattern, words]) => ({ colour, pattern, words: `${colour} ${words}` })));
  return [...known, { colour: "", pattern: "dark", words: "dark" }];
}

function portCard(job, row, model, again) {
  const target = `port:${row.unit}:${row.port}`;
  const real = job.values[target] || {};
  const judged = judgeLight(model, real.colour || "", real.pattern || "");
  const press = (one) => save({ job: job.job.pk, ...setting(job, target, { colour: one.colour, pattern: one.pattern }) }, again);
  const expected = (model ? model.lights : []).filter((one) => !one.fault && one.pattern !== "dark").map((one) => `${one.colour} ${one.pattern}`.trim());
  return h("article", { class: "card port", "data-port": target },
    h("h4", {}, `Port ${row.port} to ${row.other}, port ${row.other_port}`),
    h("p", {}, `Cable ${row.cable}${row.new ? " (new)" : ""}${row.feet ? `, ${row.feet} ft` : ""}. `, h("span", { class: "quiet-text" }, "Expected: "), h("b", {}, expected.length ? expected.join(", or ") : "not known for this model")),
    h("div", { class: "pick-row", role: "group", "aria-label": `Light seen at ${row.unit} port ${row.port}` }, choices(model).map((one) => button(one.words, () => press(one), real.pattern === one.pattern && (real.colour || "") === one.colour ? "" : "quiet", { "aria-pressed": String(real.pattern === one.pattern && (real.colour || "") === one.colour) }))),
    judged.words ? h("p", { role: "status" }, badge(judged.tone, judged.tone === "stop" ? "Look here" : judged.tone === "good" ? "As it should be" : "Not known"), ` ${judged.words}`) : null,
    judged.fault || judged.tone === "unknown" ? link("Open the fault finder", `#/job/${job.job.pk}/finder?port=${encodeURIComponent(target)}`) : null);
}
