// What is typed and not saved yet: kept on the disk with every key, so that nothing typed is lost.
import * as db from "./db.js";

const kept = new Map();

export async function loadDrafts() {
  for (const row of await db.all("drafts")) if (row.fields) kept.set(row.id, row.fields);
}

export function draft(job, target) {
  return kept.get(`${job}|${target}`) || {};
}

export function setDraft(job, target, fields) {
  const id = `${job}|${target}`;
  const now = { ...(kept.get(id) || {}), ...fields };
  kept.set(id, now);
  db.put("drafts", { id, fields: now }).catch(() => {});
}

export function clearDraft(job, target) {
  const id = `${job}|${target}`;
  kept.delete(id);
  db.drop("drafts", id).catch(() => {});
}
