// Something that did not work: symptom, words, unit, a photo.
import { button, field, h } from "./dom.js";
import { draft, setDraft } from "./drafts.js";
import { pictureField, picturesFor } from "./pictures.js";
import { save } from "./saving.js";

export function problemForm(job, step, again) {
  const pk = job.job.pk;
  const target = step ? `problem:${step.key}` : "problem";
  const now = draft(pk, target);
  const mark = step ? step.id : "job";
  const keep = (name) => (event) => setDraft(pk, target, { [name]: event.target.value });
  const symptom = h("select", { id: `symptom-${mark}`, onchange: keep("symptom") }, h("option", { value: "" }, "Pick what was seen"),
    Object.entries(job.choices.symptoms).map(([key, words]) => h("option", { value: key, selected: now.symptom === key }, words)));
  const words = h("textarea", { id: `words-${mark}`, rows: 3, maxlength: 4000, value: now.words || "", oninput: keep("words") });
  const unit = h("select", { id: `unit-${mark}`, onchange: keep("unit") }, h("option", { value: "" }, "No one unit, or not known"),
    job.units.map((one) => h("option", { value: one.name, selected: (now.unit ?? (step ? step.unit : "")) === one.name }, `${one.name}, ${one.place}`)));
  const minutes = h("input", { id: `lost-${mark}`, inputmode: "numeric", class: "figure", maxlength: 4, value: now.minutes || "", oninput: keep("minutes") });
  const said = h("p", { class: "error", role: "alert" });
  const pictures = `${pk}-problem-${mark}`;
  const press = () => {
    if (!symptom.value) { said.textContent = "Pick what was seen."; symptom.focus(); return; }
    if (!words.value.trim()) { said.textContent = "Say what was seen, in your own words."; words.focus(); return; }
    if (minutes.value.trim() && !/^\d{1,4}$/.test(minutes.value.trim())) { said.textContent = "Minutes lost are a whole number."; minutes.focus(); return; }
    const body = { symptom: symptom.value, words: words.value.trim(), unit: unit.value, minutes_lost: Number(minutes.value.trim() || 0), step: step ? step.key : "" };
    save({ job: pk, kind: "problem", target: "", body, photos: picturesFor(pictures) }, again, { draftOf: target, picturesOf: pictures });
  };
  return h("div", { class: "problem-form" }, field("What kind", symptom), field("What was seen, in your words", words), field("On which unit", unit), field("Minutes lost", minutes),
    pictureField(pictures, "problem:{uid}", again), said, button("Note the problem", press, "quiet"));
}
