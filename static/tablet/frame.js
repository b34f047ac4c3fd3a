// What stands around each page of a job: its name, its rooms, and what the desk said.
import { badge, h, link, notice } from "./dom.js";
import { differences, judgeFound } from "./checks.js";

const ROOMS = [["steps", "Steps"], ["found", "As found"], ["ports", "Ports"], ["sheets", "Sheets"], ["papers", "Papers"]];
const TONES = { on_job: "live", held: "stop", done: "good", checked: "good", handed_over: "good", cancelled: "stop" };

export function jobFrame(job, page, nodes) {
  const head = job.job;
  return [
    h("p", { class: "crumbs" }, link("All my jobs", "#/", "")),
    h("div", { class: "head" }, h("h1", {}, head.boat, " ", badge(TONES[head.state] || "quiet", head.state_words), h("span", { class: "sub" }, `${head.number}: ${head.title}`))),
    ...warnings(job, page),
    h("nav", { class: "jump", "aria-label": "Parts of this job" }, ROOMS.map(([key, words]) =>
      h("a", { href: `#/job/${head.pk}/${key}`, "aria-current": key === page ? "page" : null }, words))),
    nodes,
  ];
}

function warnings(job, page) {
  const found = [];
  const head = job.job;
  if (head.state === "cancelled") found.push(notice("stop", h("p", {}, h("b", {}, "This job is cancelled. "), "Ask the desk before you go on; what you entered is kept.")));
  else if (!head.mine) found.push(notice("look", h("p", {}, `This is ${head.technician || "nobody"}'s job now. `, "What you enter is kept and shown to the desk, which can take it into the job.")));
  if (head.state === "held") found.push(notice("stop", h("p", {}, h("b", {}, "Held: "), head.held_reason)));
  if (page !== "told") {
    const many = job.clashes.length + job.answered.filter((row) => row.outcome !== "clash").length + job.leftPhotos.length;
    if (many) found.push(notice("look", h("p", {}, `${many} to look at: two values for one field, or what could not be written. `, link("Look at them", `#/job/${head.pk}/told`, "button small"))));
  }
  const judged = judgeFound(job, differences(job));
  if (page !== "found" && judged.breaks) found.push(notice(judged.tone, h("p", {}, h("b", {}, "What was found differs from the plan. "), link("See what that means", `#/job/${head.pk}/found`, "button small"))));
  return found;
}
