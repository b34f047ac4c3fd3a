// What the desk could not simply write: two values for one field, and entries that were refused.
import * as db from "./db.js";
import { button, h, moment, notice } from "./dom.js";
import { takeJob } from "./jobs.js";
import { ask, NoSignal, Refused, SignedOut } from "./net.js";
import { preview } from "./pictures.js";

export async function toldPage(job, again) {
  const refused = job.answered.filter((row) => row.outcome !== "clash");
  return [
    h("h2", {}, "Two values for one field"),
    job.clashes.length ? job.clashes.map((row) => clashCard(job, row, again)) : h("p", {}, "None."),
    h("h2", {}, "Not written"),
    refused.length ? refused.map((row) => refusedCard(job, row, again)) : h("p", {}, "None."),
    job.leftPhotos.length ? [h("h2", {}, "Photos that were not taken"), job.leftPhotos.map((row, place) => photoCard(row, place + 1, again))] : null,
  ];
}

function clashCard(job, row, again) {
  const settle = (chosen) => settled(job, row, chosen, again);
  return h("section", { class: "card clash" }, h("h3", {}, row.label),
    h("dl", { class: "facts" }, h("dt", {}, "Stands"), h("dd", {}, h("b", {}, row.standing || "empty"), ` by ${row.standing_by}, ${moment(row.standing_at)}`), h("dt", {}, "Also written"), h("dd", {}, h("b", {}, row.other || "empty"), ` by ${row.other_by}, ${moment(row.other_at)}`)),
    h("div", { class: "two" }, button(`Keep “${row.standing || "empty"}”`, () => settle("standing"), "quiet"), button(`Take “${row.other || "empty"}”`, () => settle("other"), "quiet")));
}

async function settled(job, row, chosen, again) {
  try {
    await ask(`/api/tablet/clashes/${row.pk}/`, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ chosen }) });
    for (const one of job.answered.filter((answer) => answer.outcome === "clash")) await db.drop("answered", one.uid);
    await takeJob(job.job.pk);
  } catch (error) {
    const words = error instanceof NoSignal ? "Deciding between two values needs signal, so that nobody decides the other way meanwhile." : error instanceof SignedOut ? "Sign in first; nothing is lost." : error instanceof Refused ? error.message : null;
    if (!words) throw error;
    document.getElementById("alerts").replaceChildren(notice("stop", h("p", {}, words)));
    return;
  }
  document.getElementById("alerts").replaceChildren();
  again();
}

function refusedCard(job, row, again) {
  const said = Object.values(row.body.fields || row.body).filter((one) => typeof one === "string" && one).map((one) => SAID[one] || one).join(", ");
  return h("section", { class: "card" }, h("h3", {}, titleOf(job, row)), h("p", {}, said ? `“${said}”, ` : "", moment(row.at)), h("p", {}, h("b", {}, row.message), " ", row.todo),
    row.todo.includes("The desk") ? null : h("p", { class: "quiet-text" }, "The desk has this entry too and can take it into the job."),
    button("I have seen it", async () => { await db.drop("answered", row.uid); again(); }, "quiet", { "aria-label": `I have seen it: ${titleOf(job, row)}` }));
}

function photoCard(row, number, again) {
  const address = preview(row);
  return h("section", { class: "card" }, h("ul", { class: "thumbnails" }, h("li", {}, h("img", { src: address, alt: row.caption || `Photo ${number}` }))),
    h("p", {}, h("b", {}, row.message || "The desk could not take this photo.")), h("p", { class: "quiet-text" }, "It stays on this tablet. If the desk takes it into the job, it is sent by itself."),
    h("div", { class: "pick-row" }, h("a", { class: "button quiet", href: address, download: `${row.uid}.jpg` }, `Keep a copy of photo ${number}`),
      button(`Let photo ${number} go`, async () => { await db.drop("photos", row.uid); again(); }, "quiet danger")));
}

const NAMES = { start: "Start of the job", hold: "Holding the job", close: "Closing the job", problem: "A problem", photo: "A photo", move: "Moving the job on" };
const HEADS = { punch: "A point of the punch list", trial: "A point of the sea trial", look: "A look of the fault finder", time: "The labour clock", sign: "The customer's signature", box: "A box that is not on record", ask: "A change order asked for" };
const SAID = { ok: "Good", not_ok: "Not good", deferred: "Put off", not_tried: "Not tried", done: "Did it", could_not: "Could not", skipped: "Skipped" };
function titleOf(job, row) {
  const step = job.steps.find((one) => `step:${one.key}` === row.target);
  if (step) return step.title;
  const [head, name = "", port = ""] = row.target.split(":");
  const point = [...job.sheets.punch, ...job.sheets.trials].find((one) => `${head}:${one.key}` === row.target);
  if (point) return point.text;
  if (head === "unit") return `${name} as found`;
  if (head === "port") return `Light at ${name} port ${port}`;
  return NAMES[row.kind] || HEADS[head] || "An entry";
}
