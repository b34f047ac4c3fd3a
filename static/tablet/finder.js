// The fault finder with no signal: over the table of single faults that came along with the job.
// A cause fits where all that was seen is as it predicts; null in its table leaves a look open.

export function fits(table, cause, seen) {
  return Object.entries(seen).every(([look, value]) => {
    if (!(look in cause.otherwise)) return value === table.healthy[look];
    return cause.otherwise[look] === null || cause.otherwise[look] === value;
  });
}

// Causes that fit, most likely first, each with its share of all that fit.
export function causesOf(table, seen) {
  const odd = Object.keys(seen).filter((look) => seen[look] !== table.healthy[look]);
  const found = table.causes.filter((cause) => fits(table, cause, seen));
  const sum = found.reduce((total, cause) => total + cause.weight, 0) || 1;
  const ranked = found.map((cause) => ({ ...cause, share: cause.weight / sum })).sort((one, other) => other.weight - one.weight);
  return { odd, causes: odd.length ? ranked : [], nothing: odd.length > 0 && !ranked.length };
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

function bits(table, causes, look) {
  const parts = new Map();
  let sum = 0;
  for (const cause of causes) {
    const value = look in cause.otherwise ? cause.otherwise[look] : table.healthy[look];
    if (value === null) continue;
    parts.set(value, (parts.get(value) || 0) + cause.weight);
    sum += cause.weight;
  }
  return [...parts.values()].reduce((total, weight) => total - (weight / sum) * Math.log2(weight / sum), 0);
}

// What the job's own entries say already: looks answered here, and lights noted port by port.
export function seenOf(job, table) {
  const seen = {};
  for (const [target, values] of Object.entries(job.values)) {
    if (target.startsWith("look:") && values.value) seen[target.slice(5)] = values.value;
    const look = target.startsWith("port:") ? `light:${target.slice(5)}` : "";
    if (look && look in table.looks && values.pattern) seen[look] ??= values.pattern === "dark" ? "dark" : table.healthy[look];
  }
  return Object.fromEntries(Object.entries(seen).filter(([look]) => look in table.looks));
}
