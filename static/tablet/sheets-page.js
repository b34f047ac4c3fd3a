// Commissioning: punch list, sea trial, closing with the parts used, the customer's signature.
import { badge, button, field, h, link, many, notice } from "./dom.js";
import { draft, setDraft } from "./drafts.js";
import { signaturePad } from "./ink.js";
import { setting } from "./jobs.js";
import { photoOf } from "./photos.js";
import { save } from "./saving.js";

const AFTER_WORK = ["done", "checked", "handed_over", "billed", "closed"];
const PUNCH = [["ok", "Good"], ["not_ok", "Not good"], ["deferred", "Put off"]];
const TRIAL = [["ok", "Good"], ["not_ok", "Not good"], ["not_tried", "Not tried"]];

export async function sheetsPage(job, again) {
  const done = AFTER_WORK.includes(job.job.state);
  return [
    h("h2", { id: "punch" }, "Punch list"), sheet(job, "punch", punchRows(job), PUNCH, again), addPoint(job, again),
    h("h2", {}, "Sea trial"), sheet(job, "trial", job.sheets.trials, TRIAL, again),
    h("h2", {}, "Close the work"), done ? h("p", {}, badge("good", job.job.state_words), " What was done is written to the boat's record when the entries are sent.") : closing(job, again),
    h("h2", {}, "Hand over"), done ? handover(job, again) : h("p", {}, "Comes when the work is closed."),
  ];
}

function punchRows(job) {
  const own = new Set(job.sheets.punch.map((row) => `punch:${row.key}`));
  const added = Object.entries(job.values).filter(([target, values]) => target.startsWith("punch:") && !own.has(target) && values.text).map(([target, values]) => ({ key: target.slice(6), text: values.text }));
  return [...job.sheets.punch, ...added];
}

function sheet(job, head, rows, results, again) {
  if (!rows.length) return h("p", {}, "Nothing is laid down for this job.");
  return h("ol", { class: "points" }, rows.map((row) => point(job, head, row, results, again)));
}

function point(job, head, row, results, again) {
  const pk = job.job.pk;
  const target = `${head}:${row.key}`;
  const said = job.values[target] || {};
  const now = draft(pk, target);
  const note = h("input", { id: `note-${head}-${row.key}`, maxlength: 500, value: now.note ?? said.note ?? "", oninput: (event) => setDraft(pk, target, { note: event.target.value }) });
  const value = row.writes ? h("input", { id: `value-${row.key}`, maxlength: 40, value: now.value ?? said.value ?? "", oninput: (event) => setDraft(pk, target, { value: event.target.value }) }) : null;
  const wrong = h("p", { class: "error", role: "alert" });
  const press = (state) => {
    if (state !== "ok" && !note.value.trim()) { wrong.textContent = state === "deferred" ? "Say who put it off, and until when: the owner's word." : "Say why in the note."; details.open = true; note.focus(); return; }
    const fields = { state, note: note.value.trim() };
    if (value) fields.value = value.value.trim();
    save({ job: pk, ...setting(job, target, fields) }, again, { draftOf: target });
  };
  const details = h("details", { class: "note", open: Boolean(note.value) }, h("summary", {}, "Note"), field(`Note on “${row.text}”`, note));
  return h("li", { class: said.state ? "said-point" : null, "data-point": target }, h("p", {}, row.text, job.waiting.has(target) ? h("span", { class: "waits" }, " · waits to be sent") : null),
    value ? field(`${row.writes.charAt(0).toUpperCase()}${row.writes.slice(1)}`, value) : null,
    h("div", { class: "pick-row", role: "group", "aria-label": row.text }, results.map(([state, words]) => button(words, () => press(state), said.state === state ? "" : "quiet", { "aria-pressed": String(said.state === state) }))), wrong, details);
}

function addPoint(job, again) {
  const pk = job.job.pk;
  const text = h("input", { id: "new-point", maxlength: 200, value: draft(pk, "point").text || "", oninput: (event) => setDraft(pk, "point", { text: event.target.value }) });
  const press = () => { if (text.value.trim()) save({ job: pk, ...setting(job, `punch:x-${crypto.randomUUID().slice(0, 8)}`, { text: text.value.trim() }) }, again, { draftOf: "point" }); else text.focus(); };
  return h("details", { class: "more" }, h("summary", {}, "Add a point of your own"), field("What must still be right", text), button("Add the point", press, "quiet"));
}

function closing(job, again) {
  const left = job.steps.filter((step) => !step.values.state);
  if (job.job.state !== "on_job") return h("p", {}, "Start the job first.");
  if (left.length) return h("div", {}, h("p", {}, `${many(left.length, "step")} not answered yet: did it, or could not with the reason.`), link("Back to the steps", `#/job/${job.job.pk}/steps`));
  const pk = job.job.pk;
  const lines = job.tote.filter((line) => line.reserved);
  const boxes = lines.map((line) => {
    const input = h("input", { id: `used-${line.line}`, inputmode: "numeric", class: "figure", maxlength: 5, value: draft(pk, "close")[line.line] ?? String(line.spare ? 0 : line.reserved), oninput: (event) => setDraft(pk, "close", { [line.line]: event.target.value }) });
    return { line, input };
  });
  const wrong = h("p", { class: "error", role: "alert" });
  const press = () => {
    const used = {};
    for (const { line, input } of boxes) {
      if (!/^\d{1,5}$/.test(input.value.trim()) || Number(input.value) > line.reserved) { wrong.textContent = `${line.name}: write a whole number, at most ${line.reserved}.`; input.focus(); return; }
      used[line.line] = Number(input.value);
    }
    save({ job: pk, kind: "close", body: { used } }, again, { draftOf: "close" });
  };
  return h("div", { class: "card" }, boxes.length ? h("p", {}, "Parts used; the rest goes back to its shelf.") : null, boxes.map(({ line, input }) => field(`${line.name} (${line.reserved} taken along)`, input)), wrong,
    h("p", {}, "Closing writes units, releases, cables and ports to the boat's record, each with your name and the time of its step."), button("Close the work", press));
}

function handover(job, again) {
  const pk = job.job.pk;
  const points = punchRows(job);
  const open = points.filter((row) => !(job.values[`punch:${row.key}`] || {}).state);
  const signed = job.values["sign:customer"];
  const parts = [h("ul", {}, job.sheets.handover.map((text) => h("li", {}, text)))];
  if (open.length) parts.push(notice("look", h("p", {}, `${many(open.length, "point")} of the punch list ${open.length === 1 ? "is" : "are"} not answered. Answer each first.`)));
  else if (job.job.state === "done" && !job.job.checks) parts.push(h("p", {}, "Next a second technician or a manager checks the work, on a tablet of their own or at the desk. The customer may sign before."));
  else if (job.job.state === "done") parts.push(button("Punch list is done: mark checked", () => save({ job: pk, kind: "move", body: { after: "checked" } }, again)));
  if (signed && signed.name) parts.push(h("p", {}, badge("good", "Signed"), ` by ${signed.name}`, job.waiting.has("sign:customer") ? " · waits to be sent" : ""));
  else if (!open.length) parts.push(signing(job, again));
  if (signed && signed.name && job.job.state === "checked") parts.push(button("Hand over the boat", () => save({ job: pk, kind: "move", body: { after: "handed_over" } }, again)));
  if (job.job.state === "handed_over") parts.push(h("p", {}, "Handed over. The desk makes the handover pack."));
  return h("div", {}, parts);
}

const WORDS = "I have seen the work, was shown how to isolate it, and know that displays are aids, not for sole navigation.";

// The box itself is kept while the page is drawn anew: nobody signs twice because a photo was sent.
const pads = new Map();

function signing(job, again) {
  const pk = job.job.pk;
  if (!pads.has(pk)) pads.set(pk, signaturePad());
  const name = h("input", { id: "signer", maxlength: 120, autocomplete: "off", value: draft(pk, "sign").name ?? job.where.customer, oninput: (event) => setDraft(pk, "sign", { name: event.target.value }) });
  const pad = pads.get(pk);
  const wrong = h("p", { class: "error", role: "alert" });
  const press = async () => {
    if (!name.value.trim()) { wrong.textContent = "Write the name of who signs."; name.focus(); return; }
    if (pad.empty()) { wrong.textContent = "Sign in the box with a finger, or have the name typed and press “Cannot sign on glass”."; return; }
    const photo = await photoOf(await pad.picture(), { purpose: "sign:customer", caption: `Signature of ${name.value.trim()}`.slice(0, 120) });
    const fields = { name: name.value.trim(), words: WORDS, photo: photo.uid, place: job.where.marina || "" };
    save({ job: pk, ...setting(job, "sign:customer", fields), photos: [photo] }, again, { draftOf: "sign" });
  };
  const typed = () => {
    if (!name.value.trim()) { wrong.textContent = "Write the name of who signs."; name.focus(); return; }
    save({ job: pk, ...setting(job, "sign:customer", { name: name.value.trim(), words: `${WORDS} (Name typed, not signed on glass.)`, place: job.where.marina || "" }) }, again, { draftOf: "sign" });
  };
  return h("section", { class: "card sign" }, h("h3", {}, "The customer signs"), h("p", {}, WORDS), field("Name", name), pad.node, wrong,
    h("div", { class: "two" }, button("Signed", press), button("Wipe", () => pad.wipe(), "quiet")), button("Cannot sign on glass: the typed name counts", typed, "linklike"));
}
