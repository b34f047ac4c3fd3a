// The fault finder's place: what was seen, the next thing to look at, and causes where they came along.
import { h, link, notice } from "./dom.js";
import { judgeLight, judgeReading } from "./checks.js";
import { problemForm } from "./problem-form.js";

export async function finderPage(job, again, query) {
  const step = job.steps.find((one) => one.key === query.get("step"));
  return [h("h2", {}, "Fault finder"), seen(job, step, query.get("port")), causes(job),
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

function causes(job) {
  const table = job.finder && job.finder.causes;
  if (!table || !table.length) return h("p", { class: "quiet-text" }, "No list of causes came along with this job.");
  return h("ol", {}, table.map((one) => h("li", {}, one.text)));
}
