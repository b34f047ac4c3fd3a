// The answer to one step: the real reading beside the expected one, a serial, a release, a photo.
import { button, field, h, link } from "./dom.js";
import { isFigure, judgeReading } from "./checks.js";
import { draft, setDraft } from "./drafts.js";
import { setting } from "./jobs.js";
import { pictureField, picturesFor } from "./pictures.js";
import { problemForm } from "./problem-form.js";
import { save } from "./saving.js";
import { scanButton } from "./codes.js";

export function stepForm(job, step, again) {
  const pk = job.job.pk;
  const target = `step:${step.key}`;
  const now = { ...step.values, ...draft(pk, target) };
  const keep = (name) => (event) => setDraft(pk, target, { [name]: event.target.value });
  const said = h("p", { class: "error", role: "alert", id: `said-${step.id}` });
  const inputs = {};
  const parts = [];
  if (step.asks === "reading") parts.push(readingField(step, now, keep("reading"), inputs));
  if (step.asks === "serial") {
    inputs.found = h("input", { id: `found-${step.id}`, autocomplete: "off", autocapitalize: "characters", spellcheck: "false", maxlength: 60, value: now.found || "", oninput: keep("found") });
    parts.push(field("Serial number", inputs.found), scanButton(pk, target, "found"));
  }
  if (step.asks === "release") parts.push(releaseField(step, now, (value) => setDraft(pk, target, { found: value }), inputs));
  inputs.note = h("textarea", { id: `note-${step.id}`, rows: 3, maxlength: 2000, value: now.note || "", oninput: keep("note") });
  const pictures = `${pk}-step-${step.id}`;
  const answer = (state) => {
    const fields = { state };
    if (inputs.reading) fields.reading = state === "done" ? inputs.reading.value.trim().replace(",", ".") : "";
    if (inputs.found) fields.found = state === "done" ? inputs.found.value.trim() : "";
    fields.note = inputs.note.value.trim();
    const wrong = wrongIn(step, fields);
    if (wrong) { said.textContent = wrong.words; (inputs[wrong.name] || inputs.note).focus(); return; }
    finish(job, step, fields, again, pictures);
  };
  return h("div", { class: "step-form" }, parts,
    h("details", { class: "note", open: Boolean(now.note) }, h("summary", {}, "Add a note"), field("Note", inputs.note)),
    pictureField(pictures, target, again), said,
    h("div", { class: "answers" }, button("Did it", () => answer("done")), button("Could not", () => answer("could_not"), "quiet"), button("Skip it", () => answer("skipped"), "quiet")),
    h("details", { class: "more" }, h("summary", {}, "Found something wrong"), problemForm(job, step, again)));
}

async function finish(job, step, fields, again, pictures) {
  const target = `step:${step.key}`;
  const changed = Object.fromEntries(Object.entries(fields).filter(([name, value]) => value !== (step.values[name] || "")));
  const kept = await save({ job: job.job.pk, ...setting(job, target, changed), photos: picturesFor(pictures) }, again, { draftOf: target, picturesOf: pictures });
  if (kept && fields.state === "done" && judgeReading(step.expect, fields.reading).out) location.hash = `#/job/${job.job.pk}/finder?step=${encodeURIComponent(step.key)}`;
}

// What is missing or cannot be right, by the same rules as the desk's.
export function wrongIn(step, fields) {
  if (fields.state !== "done") return fields.note ? null : { name: "note", words: "Say in the note why it was not done." };
  if (step.asks === "reading") {
    if (!fields.reading && !fields.note) return { name: "reading", words: "Write the reading, or in the note why there is none." };
    if (!isFigure(fields.reading)) return { name: "reading", words: "Write the figure alone, like 12.6." };
  }
  if (step.asks === "serial" && !fields.found && !fields.note) return { name: "found", words: "Write the serial number, or in the note why it cannot be read." };
  if (step.asks === "release" && !step.releases.includes(fields.found)) return { name: "found", words: `Say which release. Known are: ${step.releases.join(", ")}.` };
  return null;
}

function readingField(step, now, keep, inputs) {
  const unit = step.expect.unit ? ` (${step.expect.unit})` : "";
  inputs.reading = h("input", { id: `reading-${step.id}`, inputmode: "decimal", autocomplete: "off", class: "figure", maxlength: 20, value: now.reading || "" });
  const verdict = h("p", { class: "verdict", role: "status" });
  const judge = () => { const judged = judgeReading(step.expect, inputs.reading.value); verdict.textContent = judged.words; verdict.className = judged.out ? "verdict out" : "verdict"; };
  inputs.reading.addEventListener("input", (event) => { keep(event); judge(); });
  judge();
  return h("div", {}, field(`${step.expect.label || "Reading"}${unit}`, inputs.reading), verdict);
}

function releaseField(step, now, keep, inputs) {
  const chosen = h("input", { type: "hidden", value: now.found || "" });
  inputs.found = chosen;
  chosen.focus = () => {};
  const row = h("div", { class: "pick-row", role: "group", "aria-label": "Release found" });
  const draw = () => row.replaceChildren(...step.releases.map((name) => button(name, () => { chosen.value = name; keep(name); draw(); }, chosen.value === name ? "" : "quiet", { "aria-pressed": String(chosen.value === name) })));
  draw();
  return h("div", { class: "field" }, h("p", { class: "label" }, "Release found"), step.releases.length ? row : h("p", {}, "This model has no releases in the catalogue: write it in the note."));
}
