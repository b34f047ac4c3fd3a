// Power, backbone, runs and places: figures to check against, with no signal too.
import { badge, h } from "./dom.js";

export function powerPart(job) {
  const groups = job.checked || [];
  const head = [h("h2", {}, "Power, backbone, runs and places"), h("p", { class: "quiet-text" }, "Figures to check against, estimated from the records, not a survey. Local codes, the makers' manuals and a licensed or certified person decide.")];
  if (!groups.length) return h("section", { id: "power" }, head, h("p", {}, badge("unknown", "Not known"), " No checks were kept with this job."));
  return h("section", { id: "power" }, head, groups.map((group) => (group.state === "good" ? h("details", { class: "more" }, h("summary", {}, `${group.findings.length} good, with their figures`), list(group)) : list(group))));
}

const list = (group) => h("ul", { class: "plain-list" }, group.findings.map((one) => h("li", {}, badge(group.state, group.words), " ", h("b", {}, one.title), `, ${one.label}${one.place && one.place !== one.label ? ` at ${one.place}` : ""}`, h("br", {}), one.words, one.margin ? h("span", { class: "quiet-text" }, ` ${one.margin}.`) : null,
  one.measures.map((words) => h("p", {}, h("b", {}, "Measure: "), words)), one.remedies.map((words) => h("p", {}, h("b", {}, "Remedy: "), words)))));
