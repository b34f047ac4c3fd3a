// Codes by camera: the scanner is a page of its own; what it read comes back into the field.
import { link } from "./dom.js";
import { setDraft } from "./drafts.js";

const BACK = "tablet-scan-for";

export function scanButton(job, target, name) {
  const wanted = new URLSearchParams({ job, target, name, back: location.hash });
  return link("Read it by camera", `/tab/scan/?${wanted}`, "button quiet", { class: "button quiet scan" });
}

// What the scanner read since, put into the draft of the field that asked for it.
export function takeScanned() {
  const text = sessionStorage.getItem(BACK);
  if (!text) return;
  sessionStorage.removeItem(BACK);
  const { job, target, name, code } = JSON.parse(text);
  setDraft(job, target, { [name]: code });
}
export const leaveScanned = (facts) => sessionStorage.setItem(BACK, JSON.stringify(facts));
