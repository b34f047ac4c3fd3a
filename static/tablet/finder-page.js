// The fault finder's place: what was seen, the next thing to look at, and causes where they came along.
import { button, h, link, notice } from "./dom.js";
import { judgeLight, judgeReading } from "./checks.js";
import { causesOf, nextLook, seenOf } from "./finder.js";
import { setting } from "./jobs.js";
import { save } from "./saving.js";
import { problemForm } from "./problem-form.js";

export async function finderPage(job, again, query) {
  const step = job.steps.find((one) => one.key === query.get("step"));
  return [h("h2", {}, "Fault finder"), seen(job, step, query.get("port")), causes(job, again),
    h("section", { class: "card" }, h("h2", {}, "Note what you find"), problemForm(job, step || null, again)),
    h("p", {}, link("Back to the steps", `#/job/${job.job.pk}/steps`))];
}

function seen(job, step, port) {
  if (step) {
    const judged = judgeReading(step.expect, step.values.reading);
    return h("section", { class: "card" }, h("h3", {}, step.title), h("p", {}, judged.words || "No reading is written at this step."), judged.next ? notice("look", h("p", {}, h("b", {}, "Next: "), judged.next)) : null);
  }
  const row = job.ports.find((one) => `port:${one.unit}:${one.port}` === port);
  if (!row) return h("p", {}, "Come here from a reading that is out of its range, or from a port whose light is wrong.");
  const real = job.values[port] || {};
  const judged = judgeLight(job.catalogue[row.model], real.colour || "", real.pattern || "");
  return h("section", { class: "card" }, h("h3", {}, `${row.unit}, port ${row.port}`), h("p", {}, judged.words),
    notice("look", h("p", {}, h("b", {}, "Next: "), "Is the unit at the other end on and fully started? Then a cable known to be good; then another port; then this cable at another unit. What moves with the fault is the fault.")));
}

const SHOWN = 5;

function causes(job, again) {
  const table = job.finder;
  if (!table || !table.causes) return h("p", { class: "quiet-text" }, "No table of causes came along with this job. The next thing to look at stands above.");
  const seen = seenOf(job, table);
  const found = causesOf(table, seen);
  const next = nextLook(table, found.odd.length ? found.causes : table.causes, seen);
  return h("section", { class: "card causes" },
    h("h2", {}, "Causes that fit, most likely first"), causeList(found),
    found.causes.length === 1 ? h("p", {}, h("b", {}, "Only this one is left."), " Prove it by putting it right, then look again.") : null,
    next && !found.nothing && found.causes.length !== 1 ? lookPart(job, next.look, next, "Look at this next", again) : null,
    said(job, table, seen, again), others(job, table, seen, again));
}

function causeList(found) {
  if (found.nothing) return notice("look", h("p", {}, h("b", {}, "No single fault fits what was seen. "), "Look again at what you entered; else two things are wrong at once, or something that is not in the plan: ask the desk."));
  if (!found.odd.length) return h("p", {}, "Nothing was seen yet that differs from a sound network. Answer what you see below.");
  const more = found.causes.length - SHOWN;
  return [h("ol", {}, found.causes.slice(0, SHOWN).map((one) => h("li", {}, one.words, h("span", { class: "quiet-text" }, ` about ${Math.round(one.share * 100)} in 100`)))),
    more > 0 ? h("details", { class: "more" }, h("summary", {}, `${more} more that fit`), h("ul", {}, found.causes.slice(SHOWN).map((one) => h("li", {}, one.words)))) : null];
}

function lookPart(job, look, facts, head, again) {
  const target = `look:${look}`;
  const now = (job.values[target] || {}).value;
  const press = (value) => save({ job: job.job.pk, ...setting(job, target, { value }) }, again);
  return h("div", { class: "look", "data-look": look }, head ? h("h3", {}, head) : null, h("p", {}, facts.question, h("span", { class: "quiet-text" }, ` ${facts.minutes} min`)),
    h("div", { class: "pick-row", role: "group", "aria-label": facts.question }, facts.answers.map((one) => button(one.words, () => press(one.value), now === one.value ? "" : "quiet", { "aria-pressed": String(now === one.value) }))));
}

function said(job, table, seen, again) {
  const looks = Object.keys(seen);
  if (!looks.length) return null;
  return h("details", { class: "more" }, h("summary", {}, `What was seen: ${looks.length}`), looks.map((look) => lookPart(job, look, table.looks[look], "", again)));
}

function others(job, table, seen, again) {
  const left = Object.keys(table.looks).filter((look) => !(look in seen));
  if (!left.length) return null;
  return h("details", { class: "more" }, h("summary", {}, "I see something else"), left.map((look) => lookPart(job, look, table.looks[look], "", again)));
}
