// The job step by step: cautions first, then one step at a time, big.
import { badge, button, day, field, h, link, many, notice, stretch } from "./dom.js";
import { judgeReading } from "./checks.js";
import { setting } from "./jobs.js";
import { save } from "./saving.js";
import { stepForm } from "./step-form.js";
import { timerCard } from "./timer.js";
import { draft, setDraft } from "./drafts.js";

const ANSWERS = { done: ["good", "Did it"], could_not: ["stop", "Could not"], skipped: ["look", "Skipped"] };

export async function stepsPage(job, again) {
  const cautions = job.steps.filter((step) => step.caution);
  const work = job.steps.filter((step) => !step.caution);
  const open = cautions.filter((step) => !step.values.state);
  const answered = job.steps.filter((step) => step.values.state).length;
  const begun = job.job.state === "on_job";
  const now = begun && !open.length ? work.find((step) => !step.values.state) : null;
  return [
    ...undecided(job),
    whereCard(job),
    ...begin(job, again),
    h("p", { class: "progress", role: "status" }, h("b", {}, `${answered} of ${job.steps.length} answered`), open.length ? `, ${many(open.length, "caution")} open` : "", job.pending ? `, ${many(job.pending, "entry", "entries")} of this job not sent yet` : ""),
    begun ? timerCard(job, again) : null,
    h("h2", {}, "Cautions first"),
    cautions.length ? h("ol", { class: "cautions" }, cautions.map((step) => caution(job, step, begun, again))) : h("p", {}, "No cautions are laid down for this job. Power off before work all the same."),
    h("h2", {}, "Steps"),
    begun && open.length ? notice("look", h("p", {}, "Tick the cautions above first; then the steps can be answered.")) : null,
    h("ol", { class: "work-steps" }, work.map((step, place) => stepItem(job, step, place + 1, step === now, begun && !open.length, again))),
    begun ? h("div", { class: "thumbs" }, link(answered === job.steps.length ? "Close the job" : "Sheets and closing", `#/job/${job.job.pk}/sheets`, answered === job.steps.length ? "button" : "button quiet")) : null,
    begun || job.job.state === "scheduled" ? holdForm(job, again) : null,
  ];
}

function undecided(job) {
  if (!job.where.undecided.length) return [];
  return [notice("look", h("p", {}, h("b", {}, "Not confirmed, and it decides whether this works. Look before you fit:")), h("ul", {}, job.where.undecided.map((text) => h("li", {}, text))))];
}

function whereCard(job) {
  const where = job.where;
  const rows = [
    ["Day", `${day(job.job.day)}, ${stretch(job.job.minutes)} planned`],
    ["Lying", `${where.marina || "marina not known"}, ${where.berth ? `berth ${where.berth}` : "berth not known"}`],
    ["Access", where.access || "not known: ask the desk for keys, gate and hours"],
    ["Customer", where.customer],
    ["Asked for", where.asked_for || "not written down"],
    ["Must not change", where.must_not_change],
    ["May say yes", where.may_say_yes.join("; ")],
    ["Note", where.note],
  ].filter(([, text]) => text);
  return h("details", { class: "more where", open: job.job.state !== "on_job" }, h("summary", {}, "Where and who"),
    h("dl", { class: "facts" }, rows.map(([name, text]) => [h("dt", {}, name), h("dd", {}, text)]),
      where.phones.length ? [h("dt", {}, "Phone"), h("dd", {}, where.phones.map((one) => h("a", { class: "tel", href: `tel:${one.number}` }, `${one.number} ${one.label}`)))] : null));
}

function begin(job, again) {
  if (!["scheduled", "held"].includes(job.job.state)) return [];
  if (job.where.blocked) return [notice("stop", h("p", {}, h("b", {}, "This job cannot be started yet. "), job.where.blocked))];
  const words = job.job.state === "held" ? "Go on with the job" : "Start the job";
  return [h("div", { class: "begin" }, button(words, () => save({ job: job.job.pk, kind: "start" }, again)))];
}

function caution(job, step, begun, again) {
  const target = `step:${step.key}`;
  const state = step.values.state;
  const say = (fields) => save({ job: job.job.pk, ...setting(job, target, fields) }, again, { draftOf: target });
  const text = h("p", { class: "caution-text" }, h("b", {}, step.title), step.detail ? [h("br"), step.detail] : null);
  if (state) {
    return h("li", { class: "caution ticked", "data-step": step.key }, text,
      h("p", { class: "said" }, badge(state === "done" ? "good" : "stop", state === "done" ? "Ticked" : "Skipped"), step.values.note ? ` “${step.values.note}”` : "", waits(job, target)),
      begun ? button("Take back", () => say({ state: "" }), "linklike", { "aria-label": `Take back: ${step.title}` }) : null);
  }
  if (!begun) return h("li", { class: "caution", "data-step": step.key }, text);
  const why = h("textarea", { rows: 2, maxlength: 2000, id: `why-${step.id}`, value: draft(job.job.pk, target).note || "", oninput: (event) => setDraft(job.job.pk, target, { note: event.target.value }) });
  const said = h("p", { class: "error", role: "alert" });
  const skip = () => { if (why.value.trim()) say({ state: "skipped", note: why.value.trim() }); else { said.textContent = "Say why it does not apply."; why.focus(); } };
  return h("li", { class: "caution", "data-step": step.key }, text,
    h("div", { class: "two" }, button("Tick: it is so", () => say({ state: "done" }), "", { "aria-label": `Tick: it is so. ${step.title}` }),
      h("details", {}, h("summary", {}, "Skip it, with a reason"), field("Why it does not apply", why), said, button("Skip it", skip, "quiet"))));
}

const waits = (job, target) => (job.waiting.has(target) ? h("span", { class: "waits" }, " · waits to be sent") : null);

function stepItem(job, step, place, now, may, again) {
  const target = `step:${step.key}`;
  const state = step.values.state;
  const classes = ["step", now ? "now" : "", state ? "answered" : ""].filter(Boolean).join(" ");
  return h("li", { class: classes, "data-step": step.key }, h("div", { class: "step-head" },
    h("span", { class: "step-no" }, String(place)),
    h("div", {}, h("h3", { class: now ? "step-big" : null }, step.title), state ? answeredPart(job, step, may, again) : openPart(job, step, now, may, again))));
}

function answeredPart(job, step, may, again) {
  const target = `step:${step.key}`;
  const { state, reading, found, note } = step.values;
  const [tone, word] = ANSWERS[state] || ["quiet", state];
  const judged = judgeReading(step.expect, reading);
  return [
    h("p", { class: "said" }, badge(tone, word), step.by ? ` ${step.by}` : "", waits(job, target), found ? [h("br"), h("span", { class: "serial" }, found)] : null, note ? [h("br"), `“${note}”`] : null),
    judged.words ? h("p", { class: judged.out ? "notice stop" : null }, judged.words, judged.next ? [" ", h("b", {}, "Next: "), judged.next] : null) : null,
    judged.out ? link("Open the fault finder", `#/job/${job.job.pk}/finder?step=${encodeURIComponent(step.key)}`) : null,
    may ? button("Take back", () => save({ job: job.job.pk, ...setting(job, target, { state: "", reading: "", found: "", note: "" }) }, again), "linklike", { "aria-label": `Take back: ${step.title}` }) : null,
  ];
}

function openPart(job, step, now, may, again) {
  const facts = [
    step.detail ? h("p", {}, step.detail) : null,
    needs("Tools", step.tools), needs("Parts", step.parts),
    expected(step.expect),
  ];
  if (!may) return facts;
  const form = stepForm(job, step, again);
  return [...facts, now ? form : h("details", { class: "more" }, h("summary", {}, "Answer this one now"), form)];
}

const needs = (name, list) => (list.length ? h("p", { class: "needs" }, h("b", {}, `${name}: `), list.join(", ")) : null);

function expected(expect) {
  const figures = expect.range && !(expect.text || "").includes(expect.range) ? expect.range : "";
  const words = [expect.text, figures].filter(Boolean).join(", ");
  return words ? h("p", { class: "expected" }, h("span", {}, "Expected "), h("b", {}, words)) : null;
}

function holdForm(job, again) {
  const why = h("input", { id: "hold-why", maxlength: 200, list: "hold-reasons", value: draft(job.job.pk, "hold").reason || "", oninput: (event) => setDraft(job.job.pk, "hold", { reason: event.target.value }) });
  const said = h("p", { class: "error", role: "alert" });
  const press = () => { if (why.value.trim()) save({ job: job.job.pk, kind: "hold", body: { reason: why.value.trim() } }, again, { draftOf: "hold" }); else { said.textContent = "Say why it is held."; why.focus(); } };
  return h("details", { class: "more" }, h("summary", {}, "Cannot go on?"),
    field("Why the job is held", why), h("datalist", { id: "hold-reasons" }, job.choices.held_for.map((text) => h("option", { value: text }))), said, button("Hold the job", press, "quiet"));
}
