// What the tablet judges by itself, with no signal: readings, lights, what was found aboard.

// A reading against what was expected: { out, words, next }.
export function judgeReading(expect, text) {
  const figure = readFigure(text);
  if (figure === null || (!expect.low && !expect.high)) return { out: false, words: "", next: "" };
  const low = expect.low ? Number(expect.low) : null;
  const high = expect.high ? Number(expect.high) : null;
  const shown = `${text.trim().replace(",", ".")} ${expect.unit || ""}`.trim();
  if (low !== null && figure < low) return { out: true, words: `${shown} is too low: ${expect.range} is expected.`, next: nextFor(expect, figure, (one) => one < low) };
  if (high !== null && figure > high) return { out: true, words: `${shown} is too high: ${expect.range} is expected.`, next: nextFor(expect, figure, (one) => one > high) };
  return { out: false, words: `${shown} is as expected.`, next: "" };
}

function nextFor(expect, figure, side) {
  const bands = (expect.next || []).filter((one) => side(Number(one.from)));
  const reached = bands.filter((one) => Number(one.from) <= figure);
  const band = reached.length ? reached[reached.length - 1] : bands[0];
  return band ? band.text : "";
}

// The figure of a reading; null for an empty field, NaN is never given.
export function readFigure(text) {
  const plain = String(text || "").trim().replace(",", ".");
  if (!plain) return null;
  return /^-?\d{1,6}(\.\d{1,3})?$/.test(plain) ? Number(plain) : null;
}

export const isFigure = (text) => !String(text || "").trim() || readFigure(text) !== null;

// What a light means on this model, by the catalogue's own table.
export function judgeLight(model, colour, pattern) {
  if (!pattern) return { tone: "", words: "" };
  const lights = model ? model.lights : [];
  if (!lights.length) return { tone: "unknown", words: "This model's lights are not in the catalogue: a light here says nothing sure." };
  const same = (one) => one.pattern === pattern && (pattern === "dark" || one.colour.toLowerCase() === colour.toLowerCase());
  const row = lights.find(same);
  if (!row) return { tone: "unknown", words: "This light is not in the catalogue's table for this model: not known." };
  return { tone: row.fault ? "stop" : "good", words: row.meaning, fault: row.fault };
}

const TONES = { stands: "good", other_updates: "look" };

// Whether the plan stands with what was found of the units, from the answers taken along.
export function judgeFound(job, found) {
  const told = [];
  for (const one of found) {
    const answer = job.foreseen.answers.find((row) => row.unit === one.unit && row.fact === one.fact && row.value === one.value);
    told.push({ ...one, verdict: answer ? answer.verdict : "not_known", text: answer ? answer.text : notForeseen(job) });
  }
  const tones = told.map((one) => TONES[one.verdict] || "stop");
  const tone = ["stop", "look"].find((one) => tones.includes(one)) || "good";
  return { told, tone, breaks: tone !== "good", together: told.length > 1 };
}

function notForeseen(job) {
  if (job.foreseen.state !== "ready") return "Not worked out before leaving: not known whether the plan stands. Ask the desk before you fit.";
  return "This was not among what was foreseen: not known whether the plan stands. Ask the desk before you fit.";
}

// What of the units differs from the record, as far as the plan hangs on it.
export function differences(job) {
  const found = [];
  for (const unit of job.units.filter((one) => one.aboard)) {
    const said = job.values[`unit:${unit.name}`] || {};
    const was = unit.planned_on;
    if (said.model && said.model !== was.model) found.push({ unit: unit.name, fact: "model", value: said.model });
    // The release at which the plan leaves the unit is no surprise once it is updated.
    else if (said.release && said.release !== was.release && !(said.release === unit.ends && updated(job, unit.name))) found.push({ unit: unit.name, fact: "release", value: said.release });
  }
  return found;
}

const updated = (job, name) => job.steps.some((step) => step.kind === "update" && step.unit === name && step.values.state === "done");

export const modelOf = (job, code) => job.catalogue[code];
export const modelName = (job, code) => (job.catalogue[code] ? job.catalogue[code].name : code);
