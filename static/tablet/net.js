// The line to the desk: who is signed in, and what a refusal means.
import * as db from "./db.js";

const WAIT_MS = Number(document.documentElement.dataset.waitMs || 20000);

export const line = { signal: null, signedIn: null, person: null, csrf: "", shop: "" };
const listeners = new Set();

export function onLine(listener) { listeners.add(listener); }

function tell(changes) {
  const before = JSON.stringify(line);
  Object.assign(line, changes);
  if (JSON.stringify(line) !== before) for (const listener of listeners) listener(line);
}

export class NoSignal extends Error {}
export class SignedOut extends Error {}

// A fetch that ends: no answer within the time is no signal.
async function reach(address, options = {}) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), options.waitMs || WAIT_MS);
  try {
    const answer = await fetch(address, {
      credentials: "same-origin", redirect: "error", cache: "no-store", ...options, signal: stop.signal,
    });
    const held = { status: answer.status, headers: answer.headers, bytes: await answer.arrayBuffer() };
    tell({ signal: true });
    return held;
  } catch {
    tell({ signal: false });
    throw new NoSignal("No signal.");
  } finally {
    clearTimeout(timer);
  }
}

// null where it is no JSON: then it was not the desk that answered, but something on the way.
function read(held) {
  try {
    return JSON.parse(new TextDecoder().decode(held.bytes));
  } catch {
    return null;
  }
}

function notTheDesk() {
  tell({ signal: false });
  return new NoSignal("No signal.");
}

// Ask who is signed in, and take a fresh token along.
export async function greet() {
  const held = await reach("/api/tablet/me/");
  const facts = read(held);
  if (held.status !== 200 || !facts || typeof facts.signed_in !== "boolean") throw notTheDesk();
  tell({ signedIn: facts.signed_in, csrf: facts.csrf || "", shop: facts.shop || line.shop });
  if (facts.signed_in) {
    tell({ person: facts.person });
    await db.setMeta("person", facts.person);
    await db.setMeta("shop", facts.shop);
  }
  return facts;
}

// Who this tablet belongs to while there is no signal.
export async function remember() {
  tell({ person: (await db.meta("person")) || null, shop: (await db.meta("shop")) || "" });
}

export class Refused extends Error {
  constructor(status, facts) {
    super(facts.detail || facts.title || `The desk answered ${status}.`);
    this.status = status;
    this.facts = facts;
  }
}

// One request to the desk; a token that ran out is renewed once, a lost login is told.
export async function ask(address, options = {}, again = true) {
  const sends = options.method && options.method !== "GET";
  if (sends && !line.csrf) await greet();
  if (sends && line.signedIn === false) throw new SignedOut("Signed out.");
  const headers = { Accept: "application/json", ...(options.headers || {}) };
  if (sends) headers["X-CSRFToken"] = line.csrf;
  const held = await reach(address, { ...options, headers });
  if (held.status === 401 || held.status === 403) {
    const me = await greet();
    if (!me.signed_in) throw new SignedOut("Signed out.");
    if (again && sends) return ask(address, options, false);
  }
  if (held.status === 304) return null;
  const facts = read(held);
  if (facts === null && held.status < 500 && held.status !== 403) throw notTheDesk();
  if (held.status < 200 || held.status > 299) throw new Refused(held.status, facts || {});
  return facts;
}
