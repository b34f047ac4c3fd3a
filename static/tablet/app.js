// The tablet's start: what is asked for by the address, drawn from what lies on the tablet.
import * as db from "./db.js";
import { loadDrafts } from "./drafts.js";
import { loadPictures } from "./pictures.js";
import { pressOver } from "./press.js";
import { takeScanned } from "./codes.js";
import { button, h, link, notice } from "./dom.js";
import { jobNow, quietly, takeAlong, takeJob, takeRest } from "./jobs.js";
import { greet, line, onLine, Refused, remember } from "./net.js";
import { box, onBox, recount, send } from "./outbox.js";
import { startStrip } from "./strip.js";
import { listPage } from "./list-page.js";
import { stepsPage } from "./steps-page.js";
import { foundPage } from "./found-page.js";
import { portsPage } from "./ports-page.js";
import { sheetsPage } from "./sheets-page.js";
import { papersPage } from "./papers-page.js";
import { finderPage } from "./finder-page.js";
import { toldPage } from "./told-page.js";
import { jobFrame } from "./frame.js";

const PAGES = { steps: stepsPage, found: foundPage, ports: portsPage, sheets: sheetsPage, papers: papersPage, finder: finderPage, told: toldPage };
const LOOK_EVERY_MS = 20000;
const main = document.getElementById("content");
let shown = "";
let stale = false;

export function route() {
  const [path, query = ""] = location.hash.replace(/^#\/?/, "").split("?");
  const [room, pk, page = "steps"] = path.split("/");
  return { room, pk: Number(pk) || 0, page, query: new URLSearchParams(query) };
}

const keyOf = (here) => `${here.room}/${here.pk}/${here.page}`;

// `gentle`: nobody asked for it, so it stands back where somebody types.
async function draw(gentle = false) {
  const here = route();
  const key = keyOf(here);
  const nodes = here.room === "job" ? await jobNodes(here) : await listPage(again, state);
  await pressOver();
  if (keyOf(route()) !== key) return;
  if (gentle && key === shown && typing()) { stale = true; return; }
  const fresh = h("main", {}, nodes);
  if (key === shown) redraw(fresh);
  else {
    main.replaceChildren(...fresh.childNodes);
    main.focus({ preventScroll: true });
    window.scrollTo(0, 0);
  }
  shown = key;
  stale = false;
  document.documentElement.dataset.drawn = key;
}

// The same page with what changed since; opened parts stay open, and the focus stays about there.
function redraw(fresh) {
  const open = openParts();
  for (const part of fresh.querySelectorAll("details")) if (open.has(partKey(part))) part.open = true;
  const focused = main.contains(document.activeElement) ? document.activeElement : null;
  const around = focused && placeOf(focused);
  patch(main, fresh);
  if (!focused || main.contains(focused)) return;
  const same = focused.id && document.getElementById(focused.id);
  const near = same || (around && [...main.querySelectorAll(PLACES)].find((one) => placeOf(one) === around));
  const to = near && !same ? near.querySelector("button, summary, a, input") || main : near || main;
  to.focus({ preventScroll: true });
}

const PLACES = "[data-step], [data-point], [data-port], [data-look]";
function placeOf(node) {
  const { step, point, port, look } = (node.closest(PLACES) || { dataset: {} }).dataset;
  return step || point || port || look || "";
}

// What looks the same stays the same piece of the page, so that nothing is drawn anew under a
// finger. Whole items only: one that shows other values is replaced with all its presses.
const WALKED = new Set(["MAIN", "OL", "UL"]);
function patch(old, fresh) {
  const [before, after] = [[...old.childNodes], [...fresh.childNodes]];
  for (let place = 0; place < Math.max(before.length, after.length); place += 1) {
    const [one, other] = [before[place], after[place]];
    if (!one) old.append(other);
    else if (!other) one.remove();
    else if (one.isEqualNode(other)) continue;
    else if (one.nodeName === other.nodeName && WALKED.has(one.nodeName) && one.className === other.className) patch(one, other);
    else one.replaceWith(other);
  }
}

// Parts that were opened stay open when the page is drawn anew.
function partKey(part) {
  const around = part.closest("[data-step], [data-point], [data-port], .unit");
  return `${around ? around.dataset.step || around.dataset.point || around.dataset.port || around.querySelector("h3").textContent : ""}|${part.querySelector("summary").textContent}`;
}
const openParts = () => new Set([...main.querySelectorAll("details[open]")].map(partKey));

async function jobNodes(here) {
  let job = await jobNow(here.pk);
  if (!job && !(await fetched(here.pk))) return [h("h1", {}, "The desk has no such job for you"), notice("look", h("p", {}, "Look whether its address is right, or ask the desk to put it on your day. ", link("To my jobs", "#/")))];
  job ??= await jobNow(here.pk);
  if (!job) return [h("h1", {}, "This job is not on the tablet"), notice("look", h("p", {}, "Load it once while there is signal; from then on it works without. ", link("To my jobs", "#/")))];
  const page = PAGES[here.page] || stepsPage;
  return jobFrame(job, here.page, await page(job, again, here.query));
}

// Take a job along; false where the desk refuses it. What lies on the tablet already stays there.
async function fetched(pk) {
  try {
    await quietly(() => takeJob(pk));
    return true;
  } catch (error) {
    if (error instanceof Refused && error.status < 500) return false;
    throw error;
  }
}

let drawing = Promise.resolve();
const drawn = (gentle) => { drawing = drawing.then(() => draw(gentle)).catch(failed); return drawing; };
export const again = () => drawn(false);

function failed(error) {
  const full = error instanceof db.StorageFull;
  main.prepend(notice("stop", full ? "This tablet's storage is full. Send what waits, then let jobs go that are done." : `The page could not be shown (${error.message}). What was entered is kept. `, button("Reload", () => location.reload(), "quiet")));
}

// Somebody typing is not disturbed: the page is drawn anew when the field is left.
function typing() {
  const node = document.activeElement;
  return node && main.contains(node) && node.matches("input:not([type=file]), textarea, select");
}
function freshen() {
  if (typing()) stale = true;
  else drawn(true);
}
main.addEventListener("focusout", () => { if (stale) setTimeout(freshen, 200); });

const state = { busy: "", trouble: "", build: document.documentElement.dataset.build };

async function lookForSignal() {
  await quietly(async () => {
    await greet();
    if (line.signedIn) await send();
  });
}

export async function refresh() {
  state.busy = "Looking which jobs are yours";
  again();
  state.trouble = "";
  try {
    await quietly(async () => {
      await greet();
      if (!line.signedIn) return;
      await send();
      await takeAlong((words) => { state.busy = words; again(); });
      fetchScanner();
    });
  } catch (error) {
    state.trouble = `Not everything could be taken along (${error.message}). What is on the tablet stays. Press again in a minute.`;
  }
  state.busy = "";
  again();
}
state.refresh = refresh;

function fetchScanner() {
  if (navigator.serviceWorker && navigator.serviceWorker.controller) navigator.serviceWorker.controller.postMessage("scanner");
}

// A new build waits until a person says so: nobody is thrown out of a step.
async function startWorker() {
  if (!("serviceWorker" in navigator)) return;
  navigator.serviceWorker.addEventListener("message", ({ data }) => { if (data === "scanner kept") document.documentElement.dataset.scanner = "kept"; });
  const taken = await navigator.serviceWorker.register("/tab/sw.js", { scope: "/tab/" });
  const offer = (worker) => {
    const bar = document.getElementById("fresh");
    bar.replaceChildren(h("p", {}, "A new version of this page is here."), button("Reload to use it", () => worker.postMessage("take over"), "small"));
    bar.hidden = false;
  };
  if (taken.waiting && navigator.serviceWorker.controller) offer(taken.waiting);
  taken.addEventListener("updatefound", () => {
    const worker = taken.installing;
    worker.addEventListener("statechange", () => {
      if (worker.state === "installed" && navigator.serviceWorker.controller) offer(worker);
    });
  });
  let reloading = !navigator.serviceWorker.controller;
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (reloading) { reloading = false; return; }
    location.reload();
  });
}

// A job that is not on this tablet yet is asked for at once, beside the question who is there.
async function firstLook() {
  const here = route();
  if (here.room !== "job" || await db.get("jobs", here.pk)) return;
  if (await fetched(here.pk)) freshen();
}

async function openedJob() {
  const here = route();
  if (here.room !== "job" || !line.signedIn) return;
  if (!(await fetched(here.pk))) return;
  freshen();
  await takeRest(here.pk);
  freshen();
}

async function start() {
  await remember();
  await Promise.all([loadDrafts(), loadPictures(), recount()]);
  takeScanned();
  startStrip(document.getElementById("strip"));
  let before = box.waiting + box.photos;
  onBox(() => { const now = box.waiting + box.photos; if (now < before) freshen(); before = now; });
  let person = line.person && line.person.pk;
  onLine(() => { const now = line.person && line.person.pk; if (now !== person) { person = now; freshen(); } });
  window.addEventListener("hashchange", () => { again(); quietly(openedJob); });
  window.addEventListener("online", lookForSignal);
  window.addEventListener("offline", lookForSignal);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) lookForSignal(); });
  await again();
  document.documentElement.dataset.ready = "yes";
  // What the person waits for comes first on a thin line; keeping the page for later comes after.
  await Promise.all([lookForSignal(), quietly(firstLook)]);
  quietly(startWorker);
  if (navigator.storage && navigator.storage.persist) navigator.storage.persist();
  await quietly(openedJob);
  if (route().room !== "job" && line.signedIn) await refresh();
  setInterval(() => { if (!document.hidden) lookForSignal(); }, LOOK_EVERY_MS);
}

start().catch(failed);
