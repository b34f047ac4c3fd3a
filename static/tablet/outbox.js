// Entries that wait: written to the disk first, sent in their order, forgotten when acknowledged.
import * as db from "./db.js";
import { ask, greet, line, NoSignal, Refused, SignedOut } from "./net.js";
import { sendPhotos } from "./photos.js";

const BATCH = 100;
const changed = new EventTarget();
export const box = { waiting: 0, photos: 0, oldest: 0, others: 0, lastSent: 0, sending: false, clockOff: 0, trouble: "" };

export const onBox = (listener) => changed.addEventListener("change", listener);
const tell = () => changed.dispatchEvent(new Event("change"));

export async function recount() {
  const [rows, photos, lastSent, clockOff] = await Promise.all([
    db.all("outbox"), db.all("photos"), db.meta("last_sent"), db.meta("clock_off")]);
  box.waiting = rows.length;
  box.others = line.person ? rows.filter((row) => row.person !== line.person.pk).length : 0;
  box.photos = photos.filter((row) => row.state === "waiting").length;
  box.oldest = rows.length ? rows[0].at : 0;
  box.lastSent = lastSent || 0;
  box.clockOff = clockOff || 0;
  tell();
}

// Write one entry down, with photos that belong to it, in one transaction. StorageFull where
// the disk takes no more: then nothing of it is kept.
export async function write({ job, kind, target = "", body = {}, photos = [], more = [], drafts = [] }) {
  const person = line.person ? line.person.pk : 0;
  const at = Date.now();
  const uid = crypto.randomUUID();
  const first = { uid, job, person, kind, target, body, at };
  const announced = photos.map((photo) => ({
    uid: crypto.randomUUID(), job, person, kind: "photo", target: "", at,
    body: { photo: photo.uid, size: photo.blob.size, digest: photo.digest, caption: photo.caption || "",
      purpose: (photo.purpose || "").replace("{uid}", uid) },
  }));
  const others = more.map((row) => ({ uid: crypto.randomUUID(), job, person, at, target: "", body: {}, ...row }));
  await db.change(["outbox", "photos", "drafts"], (stores) => {
    for (const photo of photos) {
      stores.photos.put({ uid: photo.uid, job, person, blob: photo.blob, sent: 0, state: "waiting", announced: false, caption: photo.caption || "" });
    }
    for (const row of [first, ...others, ...announced]) stores.outbox.add(row);
    for (const id of [`${job}|${target || kind}`, ...drafts]) stores.drafts.delete(id);
  });
  await recount();
  queueMicrotask(() => { send(); });
  return uid;
}

let sending = null;

// Send what waits. One sending at a time, across windows too.
export function send() {
  sending ??= locked(run).finally(() => { sending = null; box.sending = false; tell(); });
  return sending;
}

function locked(work) {
  return navigator.locks ? navigator.locks.request("tablet-send", work) : work();
}

async function run() {
  box.sending = true;
  tell();
  try {
    if (!line.csrf || line.signedIn !== true) await greet();
    if (line.signedIn !== true) throw new SignedOut("Signed out.");
    while (await sendBatch());
    await sendPhotos(recount);
    box.trouble = "";
  } catch (error) {
    if (error instanceof Refused) box.trouble = `The desk could not take the entries now (${error.message}). They are kept and sent again.`;
    else if (!(error instanceof NoSignal || error instanceof SignedOut)) throw error;
  } finally {
    await recount();
  }
}

// The person's own entries from the head of the queue; another person's wait for them.
async function head() {
  const rows = await db.all("outbox");
  return rows.filter((row) => row.person === line.person.pk);
}

async function sendBatch(size = BATCH) {
  const own = await head();
  if (!own.length) return false;
  const rows = own.slice(0, size);
  let facts;
  try {
    facts = await post(rows);
  } catch (error) {
    if (!(error instanceof Refused) || error.status < 400 || error.status > 499 || [401, 403, 408, 429].includes(error.status)) throw error;
    // One entry of the batch cannot be read over there: find it, so that it alone stays behind.
    if (rows.length > 1) return sendBatch(Math.ceil(rows.length / 2));
    facts = { answers: [{ uid: rows[0].uid, outcome: "refused", message: error.message, todo: "Show it to the desk." }], jobs: {} };
  }
  return acknowledge(rows, facts);
}

async function post(rows) {
  const entries = rows.map(({ uid, seq, job, person, kind, target, body, at }) => ({ uid, seq, job, person, kind, target, body, at }));
  return ask("/api/tablet/entries/", {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ tablet: await db.tabletName(), now: Date.now(), entries }),
  });
}

// What is acknowledged leaves the queue in the same transaction that keeps what stands now.
async function acknowledge(rows, facts) {
  const answers = new Map(facts.answers.map((one) => [one.uid, one]));
  const done = rows.filter((row) => answers.has(row.uid) && answers.get(row.uid).outcome !== "not_yours");
  await db.change(["outbox", "answered", "jobs", "photos", "meta"], (stores) => {
    for (const row of done) {
      const answer = answers.get(row.uid);
      stores.outbox.delete(row.seq);
      if (row.kind === "photo") markAnnounced(stores.photos, row, answer);
      else if (["refused", "no_job", "clash"].includes(answer.outcome)) {
        stores.answered.put({ ...row, ...answer });
      }
    }
    for (const [pk, told] of Object.entries(facts.jobs || {})) {
      const request = stores.jobs.get(Number(pk));
      request.onsuccess = () => { if (request.result) stores.jobs.put(withTold(request.result, told)); };
    }
    stores.meta.put({ name: "last_sent", value: Date.now() });
    if ("clock_off_ms" in facts) stores.meta.put({ name: "clock_off", value: facts.clock_off_ms });
  });
  await recount();
  return done.length > 0;
}

function markAnnounced(store, row, answer) {
  const request = store.get(row.body.photo);
  request.onsuccess = () => {
    if (!request.result) return;
    const taken = answer.outcome === "taken";
    store.put({ ...request.result, announced: taken, state: taken ? "waiting" : "refused", message: `${answer.message} ${answer.todo}`.trim() });
  };
}

function withTold(stored, told) {
  const payload = { ...stored.payload, job: told.head, clashes: told.clashes };
  payload.steps = payload.steps.map((step) => {
    const values = told.values[`step:${step.key}`];
    return values ? { ...step, values } : step;
  });
  payload.facts = { ...payload.facts };
  for (const [target, values] of Object.entries(told.values)) {
    if (!target.startsWith("step:")) payload.facts[target] = values;
  }
  return { ...stored, payload };
}
