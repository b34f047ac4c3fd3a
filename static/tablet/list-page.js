// All jobs on this tablet, and taking them along.
import * as db from "./db.js";
import { ago, badge, button, day, h, link, notice, many } from "./dom.js";
import { box } from "./outbox.js";
import { greet, line } from "./net.js";

export async function listPage(again, state) {
  const rows = (await db.all("jobs")).sort((one, other) => order(one).localeCompare(order(other)));
  const takenAt = await db.meta("taken_at");
  return [
    h("div", { class: "head" }, h("h1", {}, "At the boat", h("span", { class: "sub" }, line.person ? `${line.person.name}, ${line.shop}` : "Nobody has signed in on this tablet yet"))),
    line.person === null && line.signedIn === false ? notice("look", h("p", {}, "Sign in once while there is signal. ", link("Sign in", "/sign-in/?next=/tab/", "button small"))) : null,
    h("div", { class: "take" },
      button(state.busy ? "Taking along …" : "Take along my jobs of the next days", () => { state.refresh(); }, "", { disabled: Boolean(state.busy) }),
      h("p", { class: "help", role: "status" }, state.busy || (takenAt ? `On this tablet since ${ago(takenAt)}: ${many(rows.length, "job")}. They work with no signal.` : "Nothing is on this tablet yet. Press once while there is signal."))),
    state.trouble ? notice("stop", h("p", {}, state.trouble)) : null,
    rows.length ? h("ul", { class: "job-list" }, rows.map((row) => h("li", {}, card(row)))) : h("p", {}, "Jobs that the desk puts on your day stand here, each with its berth, keys and steps."),
    signOut(again),
  ];
}

const order = (row) => `${row.payload.job.state === "on_job" ? 0 : 1}${row.payload.job.day}${row.payload.job.number}`;

function card(row) {
  const head = row.payload.job;
  const done = row.payload.steps.filter((step) => step.values.state).length;
  return h("article", { class: "card my-job" },
    h("h2", {}, head.boat, " ", badge(head.state === "on_job" ? "live" : "quiet", head.state_words)),
    h("p", {}, h("b", {}, head.number), ` ${head.title}`),
    h("dl", { class: "facts" }, h("dt", {}, "Day"), h("dd", {}, day(head.day)), h("dt", {}, "Berth"), h("dd", {}, head.berth || "not known"),
      h("dt", {}, "Steps"), h("dd", {}, `${done} of ${row.payload.steps.length} answered`)),
    link(head.state === "on_job" ? "Go on" : "Open", `#/job/${head.pk}`, "button"));
}

// Signing out with entries that wait asks first, in words that say how many.
function signOut(again) {
  if (!line.person) return null;
  const waiting = box.waiting + box.photos;
  return h("details", { class: "more leave" }, h("summary", {}, "Sign out"),
    waiting ? notice("look", h("p", {}, h("b", {}, `${many(box.waiting, "entry", "entries")} and ${many(box.photos, "photo")} are not sent yet. `), "They stay on this tablet and are sent when you sign in here again. The jobs themselves are taken off it.")) : h("p", {}, "Everything is sent. The jobs are taken off this tablet."),
    button(waiting ? "Sign out, and keep what waits" : "Sign out", () => { leave(again); }, waiting ? "danger" : "quiet"));
}

async function leave(again) {
  try {
    await greet();
  } catch {
    document.getElementById("alerts").replaceChildren(notice("look", h("p", {}, "Signing out needs signal. What waits is kept; press again when there is some.")));
    return;
  }
  await db.change(["jobs", "meta"], (stores) => { stores.jobs.clear(); stores.meta.delete("person"); });
  if ("caches" in window) await caches.delete("tablet-kept");
  const form = h("form", { method: "post", action: "/sign-out/" }, h("input", { type: "hidden", name: "csrfmiddlewaretoken", value: line.csrf }));
  document.body.append(form);
  if (line.signedIn) form.submit();
  else again();
}
