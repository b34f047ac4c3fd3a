// The labour clock: begun and ended are entries like all others, so it runs through a restart.
import { button, clock, h, stretch } from "./dom.js";
import { setting } from "./jobs.js";
import { save } from "./saving.js";

const stretches = (job) => Object.entries(job.values).filter(([target]) => target.startsWith("time:")).map(([target, values]) => ({ target, ...values }));

export function workedMinutes(job) {
  return stretches(job).filter((one) => one.begun && one.ended).reduce((sum, one) => sum + Math.max(0, (new Date(one.ended) - new Date(one.begun)) / 60000), 0);
}

export function timerCard(job, again) {
  const running = stretches(job).find((one) => one.begun && !one.ended);
  const sum = workedMinutes(job);
  const now = new Date().toISOString();
  const press = running
    ? () => save({ job: job.job.pk, ...setting(job, running.target, { ended: now }) }, again)
    : () => save({ job: job.job.pk, ...setting(job, `time:${crypto.randomUUID()}`, { begun: now, what: "At the boat" }) }, again);
  return h("div", { class: "timer" },
    h("p", {}, h("b", {}, running ? `Clock runs since ${clock(running.begun)}` : "Clock stands"), ` · ${stretch(sum)} worked of ${stretch(job.job.minutes)} planned`),
    button(running ? "Stop the clock" : "Start the clock", press, running ? "" : "quiet"));
}
