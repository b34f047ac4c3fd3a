// The fault finder with no signal: over the table of single faults that came along with the job.
// A cause fits where all that was seen is as it predicts; null in its table leaves a look open.
const MOST_PAIRED = 60;
const PAIR_SHARE = 0.02;

export function fits(table, cause, seen) {
  return Object.entries(seen).every(([look, value]) => {
    if (!(look in cause.otherwise)) return value === table.healthy[look] || table.healthy[look] === null;
    return cause.otherwise[look] === null || cause.otherwise[look] === value;
  });
}

export const oddOf = (table, seen) => Object.keys(seen).filter((look) => table.healthy[look] !== null && seen[look] !== table.healthy[look]);

// Causes that fit, most likely first, each with its share of all that fit: single ones, else pairs.
export function causesOf(table, seen) {
  const odd = oddOf(table, seen);
  if (!odd.length) return { odd, causes: [], named: [], nothing: false, pairs: false };
  const single = table.causes.filter((cause) => fits(table, cause, seen));
  const causes = single.length ? single : pairsOf(table, seen, odd);
  return { odd, causes, named: named(causes), nothing: !causes.length, pairs: !single.length && causes.length > 0 };
}

// Two faults together show what either shows: near enough to name them, not to prove them.
function pairsOf(table, seen, odd) {
  const explains = (cause, look) => look in cause.otherwise && [null, seen[look]].includes(cause.otherwise[look]);
  const useful = table.causes.filter((cause) => odd.some((look) => explains(cause, look)))
    .sort((one, other) => other.weight - one.weight).slice(0, MOST_PAIRED);
  const found = [];
  for (const [place, one] of useful.entries()) {
    for (const other of useful.slice(place + 1)) {
      if (!odd.every((look) => explains(one, look) || explains(other, look))) continue;
      const pair = together(one, other);
      if (fits(table, pair, seen)) found.push(pair);
    }
  }
  return found;
}

// Where the two show different things it may show either way.
function together(one, other) {
  const otherwise = { ...one.otherwise, ...other.otherwise };
  for (const look of Object.keys(one.otherwise)) if (look in other.otherwise && one.otherwise[look] !== other.otherwise[look]) otherwise[look] = null;
  return { key: `${one.key}+${other.key}`, kind: `${one.kind}+${other.kind}`, scope: `${one.scope}+${other.scope}`,
    words: `${one.words}; and ${other.words}`, weight: one.weight * other.weight * PAIR_SHARE, otherwise };
}

// Causes of one kind in one place are named as one, as the desk's finder does it.
function named(causes) {
  const sum = causes.reduce((total, cause) => total + cause.weight, 0) || 1;
  const groups = new Map();
  for (const cause of causes) {
    const name = `${cause.kind}|${cause.scope}`;
    groups.set(name, [...(groups.get(name) || []), cause]);
  }
  const told = [...groups.values()].map((each) => ({ causes: each, words: each.map((cause) => cause.words), share: each.reduce((total, cause) => total + cause.weight, 0) / sum }));
  return told.sort((one, other) => other.share - one.share);
}

// The look that tells most for its minutes among the causes that still fit; null where none does.
export function nextLook(table, causes, seen) {
  let best = null;
  for (const [look, facts] of Object.entries(table.looks)) {
    if (look in seen) continue;
    const gain = bits(table, causes, look) / Math.max(1, facts.minutes);
    if (gain > 1e-9 && (!best || gain > best.gain)) best = { look, gain, ...facts };
  }
  return best;
}

// Bits that a look tells, as the desk's finder counts them; either way counts as half of each.
function bits(table, causes, look) {
  const parts = new Map();
  for (const cause of causes) {
    const value = look in cause.otherwise ? cause.otherwise[look] : table.healthy[look];
    parts.set(value, [...(parts.get(value) || []), cause.weight]);
  }
  const all = causes.map((cause) => cause.weight);
  const told = spread(all) - [...parts.values()].reduce((total, weights) => total + spread(weights), 0);
  const unsure = sumOf(parts.get(null) || []);
  if (!unsure) return told / sumOf(all);
  const known = 1 - unsure / sumOf(all);
  return (told / sumOf(all)) * known * (parts.size > 2 ? 1 : 0.5);
}

const sumOf = (weights) => weights.reduce((total, weight) => total + weight, 0);
// The entropy of weights, times their sum.
const spread = (weights) => { const sum = sumOf(weights); return weights.reduce((total, weight) => total - weight * Math.log2(weight / sum), 0); };

// A figure in the classes of the trade; the desk has checked that it is one.
export function classOf(table, look, figure) {
  const bounds = (table.classes || {})[look.split(":")[0]] || [];
  const found = bounds.find(([bound]) => bound === null || figure < bound);
  return found ? found[1] : "";
}

// What the job's own entries say already: looks answered here, lights noted port by port, and
// readings of the steps.
export function seenOf(job, table) {
  const seen = {};
  for (const [target, values] of Object.entries(job.values)) {
    const look = target.startsWith("port:") ? `light:${target.slice(5)}` : "";
    if (look && values.pattern) seen[look] = values.pattern === "dark" ? "dark" : table.healthy[look];
  }
  for (const step of job.steps) {
    const look = (table.steps || {})[step.key];
    if (look && step.values.reading) seen[look] = classOf(table, look, Number(step.values.reading));
  }
  for (const [target, values] of Object.entries(job.values)) if (target.startsWith("look:") && values.value) seen[target.slice(5)] = values.value;
  return Object.fromEntries(Object.entries(seen).filter(([look, value]) => value && look in table.looks));
}
