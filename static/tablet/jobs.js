// Jobs on the tablet: what was taken along, and what the entries that wait make of it.
import * as db from "./db.js";
import { ask, NoSignal, SignedOut } from "./net.js";

const AFTER_WORK = ["done", "checked", "handed_over", "billed", "closed"];

// Take one job along: its facts first, then drawing, photos and papers.
export async function takeJob(pk, tries = 3) {
  const held = await db.get("jobs", pk);
  const headers = held ? { "If-None-Match": `"${held.payload.stamp}"` } : {};
  const sent = await db.meta("last_sent");
  const payload = await ask(`/api/tablet/jobs/${pk}/`, { headers });
  let overtaken = false;
  await db.change(["jobs", "meta"], ({ jobs, meta }) => {
    const last = meta.get("last_sent");
    const request = jobs.get(pk);
    request.onsuccess = () => {
      const now = request.result;
      // What was acknowledged meanwhile is newer than what was just read: it must not be undone.
      overtaken = Boolean(now) && (last.result || {}).value !== sent;
      if (!overtaken) jobs.put({ ...(now || { pk }), payload: payload || now.payload, taken_at: Date.now() });
    };
  });
  if (overtaken && tries > 1) await takeJob(pk, tries - 1);
}

export async function takeRest(pk) {
  const held = await db.get("jobs", pk);
  if (!held) return;
  const mark = JSON.stringify(held.payload.ports);
  if (!held.drawing || held.drawn_for !== mark) {
    const drawing = await ask(`/api/tablet/jobs/${pk}/drawing/`);
    await db.change(["jobs"], ({ jobs }) => {
      const request = jobs.get(pk);
      request.onsuccess = () => { jobs.put({ ...request.result, drawing: drawing.svg, drawn_for: mark }); };
    });
  }
  await keepFiles(held.payload);
}

export const photoAddress = (pk) => `/boats/photos/${pk}/`;
export const paperAddress = (pk) => `/papers/${pk}/`;

async function keepFiles(payload) {
  if (!("caches" in window)) return;
  const kept = await caches.open("tablet-kept");
  const wanted = [...payload.documents.map((one) => paperAddress(one.pk)), ...payload.photos.map((one) => photoAddress(one.pk))];
  for (const address of wanted) {
    if (await kept.match(address)) continue;
    try {
      const answer = await fetch(address, { redirect: "error" });
      if (answer.ok) await kept.put(address, answer);
    } catch {
      throw new NoSignal("No signal.");
    }
  }
}

// Take along all jobs of the next days; `told` hears of each. Jobs no longer ours are let go,
// save those with entries that wait.
export async function takeAlong(told = () => {}) {
  const { jobs } = await ask("/api/tablet/jobs/");
  for (const [place, head] of jobs.entries()) {
    told(`Taking along ${place + 1} of ${jobs.length}: ${head.boat}`);
    await takeJob(head.pk);
  }
  await letGo(new Set(jobs.map((one) => one.pk)));
  for (const head of jobs) {
    told(`Drawing, photos and papers of ${head.boat}`);
    await takeRest(head.pk);
  }
  await db.setMeta("taken_at", Date.now());
  return jobs.length;
}

async function letGo(ours) {
  const waiting = new Set((await db.all("outbox")).map((row) => row.job));
  for (const row of await db.all("jobs")) {
    const finished = AFTER_WORK.includes(row.payload.job.state) || !row.payload.job.mine;
    if (!ours.has(row.pk) && finished && !waiting.has(row.pk)) await db.drop("jobs", row.pk);
  }
}

export async function quietly(work) {
  try {
    return await work();
  } catch (error) {
    if (error instanceof NoSignal || error instanceof SignedOut) return null;
    throw error;
  }
}

// A job as it stands on this tablet: its facts with everything that waits laid over them.
export async function jobNow(pk) {
  const held = await db.get("jobs", pk);
  if (!held) return null;
  const [rows, answered, photos] = await Promise.all([db.all("outbox"), db.all("answered"), db.all("photos")]);
  const pending = rows.filter((row) => row.job === pk);
  const job = structuredClone(held.payload);
  job.drawing = held.drawing || "";
  job.taken_at = held.taken_at;
  job.values = Object.fromEntries(job.steps.map((step) => [`step:${step.key}`, step.values]));
  Object.assign(job.values, job.facts);
  job.waiting = new Set();
  job.newProblems = [];
  for (const row of pending) lay(job, row);
  for (const step of job.steps) step.values = job.values[`step:${step.key}`];
  job.answered = answered.filter((row) => row.job === pk);
  job.leftPhotos = photos.filter((row) => row.job === pk && row.state === "refused");
  job.pending = pending.length;
  return job;
}

function lay(job, row) {
  if (row.kind === "set") {
    job.values[row.target] = { ...(job.values[row.target] || {}), ...row.body.fields };
    job.waiting.add(row.target);
  } else if (row.kind === "start") job.job = { ...job.job, state: "on_job", state_words: "On the job" };
  else if (row.kind === "hold") job.job = { ...job.job, state: "held", state_words: "Held", held_reason: row.body.reason };
  else if (row.kind === "close") job.job = { ...job.job, state: "done", state_words: "Work done" };
  else if (row.kind === "move") job.job = { ...job.job, state: row.body.after, state_words: row.body.after === "checked" ? "Checked" : "Handed over" };
  else if (row.kind === "problem") job.newProblems.push(row);
}

// The body of an entry that sets fields: with each the value that was seen when it was set.
export function setting(job, target, fields) {
  const seen = job.values[target] || {};
  const base = Object.fromEntries(Object.keys(fields).map((name) => [name, seen[name] || ""]));
  const body = { fields, base };
  // Which cautions were known here: one laid down at the desk later takes no work back.
  if (target.startsWith("step:")) body.cautions = job.steps.filter((step) => step.caution).map((step) => step.key);
  return { kind: "set", target, body };
}
