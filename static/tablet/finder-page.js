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
    found.causes.length === 1 ? h("p", {}, h("b", {}, "Only this one is left."), " Prove it by putting it right, then look again. Batteries, chargers and shore power off before a plug is pulled; a fuse is never replaced by a larger one.") : null,
    next && !found.nothing && found.causes.length !== 1 ? lookPart(job, next.look, next, "Look at this next", again) : null,
    said(job, table, seen, again), others(job, table, seen, again));
}

function causeList(found) {
  if (found.nothing) return notice("look", h("p", {}, h("b", {}, "No fault fits what was seen, nor two together. "), "Look again at what you entered; else something is wrong that is not in the plan: ask the desk."));
  if (!found.odd.length) return h("p", {}, "Nothing was seen yet that differs from a sound network. Answer what you see below.");
  const rest = found.named.slice(SHOWN);
  return [found.pairs ? notice("look", h("p", {}, h("b", {}, "No single fault fits what was seen."), " Two together would:")) : null,
    h("ol", { class: "named-causes" }, found.named.slice(0, SHOWN).map((one) => h("li", {}, nameOf(one), h("span", { class: "quiet-text" }, `, ${chance(one.share)}`)))),
    rest.length ? h("details", { class: "more" }, h("summary", {}, `${rest.length} more that fit`), h("ul", {}, rest.map((one) => h("li", {}, nameOf(one))))) : null];
}

const chance = (share) => (share < 0.005 ? "less than 1 in 100" : `about ${Math.round(share * 100)} in 100`);
const PLACES = 3;
function nameOf(one) {
  const more = one.words.length - PLACES;
  return one.words.slice(0, PLACES).join("; or ") + (more > 0 ? `; or ${more} more places` : "");
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
  const part = (words, looks) => (looks.length ? [h("h3", {}, words), looks.map((look) => lookPart(job, look, table.looks[look], "", again))] : null);
  return h("details", { class: "more" }, h("summary", {}, "I see something else"),
    part("Seen or read at once", left.filter((look) => table.looks[look].at_first)), part("Measured or tried", left.filter((look) => !table.looks[look].at_first)));
}
