// As found, as built: a unit that differs from the record, in two presses.
import { badge, button, field, h, notice } from "./dom.js";
import { differences, judgeFound, modelName } from "./checks.js";
import { draft, setDraft } from "./drafts.js";
import { setting } from "./jobs.js";
import { pictureField, picturesFor } from "./pictures.js";
import { save } from "./saving.js";
import { scanButton } from "./codes.js";

const VERDICTS = { stands: ["good", "Plan stands"], other_updates: ["look", "Other updates"], other_parts: ["stop", "Other parts"], breaks: ["stop", "Does not work"], not_known: ["unknown", "Not known"] };

export async function foundPage(job, again) {
  const found = differences(job);
  return [
    h("h2", {}, "What is really aboard"),
    ...verdictPart(job, judgeFound(job, found), again),
    h("ul", { class: "units" }, job.units.map((unit) => h("li", {}, unitCard(job, unit, again)))),
    boxPart(job, again),
    asksPart(job),
  ];
}

function verdictPart(job, judged, again) {
  if (!judged.told.length) return [h("p", {}, job.foreseen.state === "ready" ? "Nothing differs from the plan so far. The answers for what may be found were worked out at the desk before leaving." : "Nothing differs from the plan so far. The desk has not worked out yet what other findings would mean.")];
  const worst = judged.tone;
  const parts = judged.told.map((one) => h("p", {}, badge(...VERDICTS[one.verdict]), " ", h("b", {}, `${one.unit}: ${one.fact === "model" ? modelName(job, one.value) : `release ${one.value}`}. `), one.text));
  const together = judged.together ? h("p", {}, "More than one unit differs. Each answer above is for that unit alone; together they were not worked out: not known.") : null;
  const from = h("p", { class: "quiet-text" }, "Worked out at the desk before leaving, not on this tablet.");
  const found = [h("div", { class: `notice ${worst}`, role: "alert" }, parts, together, from)];
  if (judged.breaks) found.push(askForm(job, judged, again));
  return found;
}

function unitCard(job, unit, again) {
  const target = `unit:${unit.name}`;
  const said = job.values[target] || {};
  const model = job.catalogue[said.model || unit.model];
  const record = [modelName(job, unit.model), unit.release ? `release ${unit.release}` : "", unit.serial ? `serial ${unit.serial}` : "serial not known"].filter(Boolean).join(", ");
  const differs = said.model || said.release || said.serial;
  return h("article", { class: "card unit" },
    h("h3", {}, `${unit.name} `, h("span", { class: "sub" }, `${unit.place}${unit.aboard ? "" : ", comes with this job"}`)),
    h("p", {}, h("span", { class: "quiet-text" }, unit.aboard ? "On record: " : "Planned: "), record),
    differs ? h("p", {}, badge("look", "Found"), ` ${[said.model ? modelName(job, said.model) : "", said.release ? `release ${said.release}` : "", said.serial ? `serial ${said.serial}` : ""].filter(Boolean).join(", ")}`) : null,
    h("details", { class: "more", open: Boolean(draft(job.job.pk, target).serial) }, h("summary", {}, "It differs", h("span", { class: "out-of-sight" }, `: ${unit.name}`)),
      model && model.releases.length ? releases(job, unit, target, said, model, again) : null,
      serial(job, unit, target, said, again), models(job, unit, target, said, again), photo(job, unit, target, again)));
}

// The second press: the release itself.
function releases(job, unit, target, said, model, again) {
  const now = said.release || unit.release;
  const press = (name) => save({ job: job.job.pk, ...setting(job, target, { release: name }) }, again);
  return h("div", { class: "field" }, h("p", { class: "label" }, "Release found"), h("div", { class: "pick-row", role: "group", "aria-label": `Release found on ${unit.name}` },
    model.releases.map((name) => button(name, () => press(name), now === name ? "" : "quiet", { "aria-pressed": String(now === name) }))));
}

function serial(job, unit, target, said, again) {
  const pk = job.job.pk;
  const input = h("input", { id: `serial-${unit.name}`, maxlength: 60, autocomplete: "off", autocapitalize: "characters", spellcheck: "false", value: draft(pk, target).serial ?? said.serial ?? "", oninput: (event) => setDraft(pk, target, { serial: event.target.value }) });
  const press = () => { if (input.value.trim()) save({ job: pk, ...setting(job, target, { serial: input.value.trim() }) }, again, { draftOf: target }); else input.focus(); };
  return h("div", { class: "with-button" }, field("Serial found", input), button("Save", press, "quiet", { "aria-label": `Save the serial of ${unit.name}` }), scanButton(pk, target, "serial"));
}

function models(job, unit, target, said, again) {
  const own = job.catalogue[unit.model];
  const alike = Object.entries(job.catalogue).filter(([code, one]) => own && one.kind === own.kind && code !== unit.model);
  if (!alike.length || !unit.aboard) return null;
  const pick = h("select", { id: `model-${unit.name}`, onchange: (event) => { if (event.target.value) save({ job: job.job.pk, ...setting(job, target, { model: event.target.value }) }, again); } },
    h("option", { value: "" }, "Pick the model that is there"), alike.map(([code, one]) => h("option", { value: code, selected: said.model === code }, one.name)));
  return field("It is another model", pick);
}

function photo(job, unit, target, again) {
  const key = `${job.job.pk}-unit-${unit.name}`;
  const taken = picturesFor(key);
  const press = () => save({ job: job.job.pk, ...setting(job, target, { note: (job.values[target] || {}).note || "Photo taken" }), photos: taken }, again, { picturesOf: key });
  return h("div", {}, pictureField(key, target, again), taken.length ? button("Save the photo", press, "quiet") : null);
}

function boxPart(job, again) {
  const pk = job.job.pk;
  const pictures = `${pk}-box`;
  const now = draft(pk, "box");
  const keep = (name) => (event) => setDraft(pk, "box", { [name]: event.target.value });
  const what = h("input", { id: "box-what", maxlength: 200, value: now.what || "", oninput: keep("what") });
  const where = h("input", { id: "box-where", maxlength: 80, value: now.where || "", oninput: keep("where") });
  const code = h("input", { id: "box-code", maxlength: 80, value: now.code || "", oninput: keep("code") });
  const said = h("p", { class: "error", role: "alert" });
  const boxes = Object.entries(job.values).filter(([target]) => target.startsWith("box:"));
  const press = () => {
    if (!what.value.trim()) { said.textContent = "Say what it looks like."; what.focus(); return; }
    save({ job: pk, ...setting(job, `box:${crypto.randomUUID()}`, { what: what.value.trim(), where: where.value.trim(), code: code.value.trim() }), photos: picturesFor(pictures) }, again, { draftOf: "box", picturesOf: pictures });
  };
  return h("section", { class: "card" }, h("h2", {}, "A box that is not on record"),
    boxes.length ? [h("ul", {}, boxes.map(([, one]) => h("li", {}, [one.what, one.where, one.code].filter(Boolean).join(", ")))), notice("look", h("p", {}, "Nothing is known of an unknown box: the plan does not count it. Ask the desk before you connect anything to it."))] : null,
    h("details", { class: "more", open: Boolean(now.code) }, h("summary", {}, "Enter one"), field("What it looks like", what), field("Where it is", where), field("Serial or code on it", code), scanButton(pk, "box", "code"), pictureField(pictures, "box", again), said, button("Save the box", press)));
}

function askForm(job, judged, again) {
  const pk = job.job.pk;
  const words = h("textarea", { id: "ask-words", rows: 3, maxlength: 2000, value: draft(pk, "ask").words ?? judged.told.map((one) => `${one.unit} is ${one.fact === "model" ? modelName(job, one.value) : `on release ${one.value}`}.`).join(" "), oninput: (event) => setDraft(pk, "ask", { words: event.target.value }) });
  const press = () => {
    const fields = { words: words.value.trim() || "See the verdict.", unit: judged.told.map((one) => one.unit).join(", ").slice(0, 60), verdict: judged.told.map((one) => one.text).join(" ").slice(0, 500), state: "open" };
    save({ job: pk, ...setting(job, `ask:${crypto.randomUUID()}`, fields) }, again, { draftOf: "ask" });
  };
  return h("section", { class: "card" }, h("h2", {}, "Ask for a change order"), field("What is different, and what you need", words), button("Ask for a change order", press));
}

function asksPart(job) {
  const asks = Object.entries(job.values).filter(([target]) => target.startsWith("ask:"));
  if (!asks.length) return null;
  return h("section", {}, h("h2", {}, "Change orders asked for"), h("ul", {}, asks.map(([target, one]) => h("li", {}, one.words, job.waiting.has(target) ? " (waits to be sent; call the desk if you stand still)" : " (with the desk)"))));
}
