// Small helpers: elements without markup in strings, times and figures in the shop's words.
export function h(name, facts = {}, ...children) {
  const node = document.createElement(name);
  for (const [key, value] of Object.entries(facts || {})) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) node.addEventListener(key.slice(2), value);
    else if (key === "class") node.className = value;
    else if (key === "value") node.value = value;
    else node.setAttribute(key, value === true ? "" : value);
  }
  for (const child of children.flat(Infinity)) {
    if (child === null || child === undefined || child === false || child === "") continue;
    node.append(child instanceof Node ? child : String(child));
  }
  return node;
}

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const two = (number) => String(number).padStart(2, "0");

export function clock(at) {
  const time = new Date(at);
  return `${two(time.getHours())}:${two(time.getMinutes())}`;
}

export function moment(at) {
  if (!at) return "";
  const time = new Date(at);
  const today = new Date().toDateString() === time.toDateString();
  return today ? clock(at) : `${time.getDate()} ${MONTHS[time.getMonth()]} ${time.getFullYear()}, ${clock(at)}`;
}

export function day(text) {
  if (!text) return "no day";
  const [year, month, date] = text.split("-").map(Number);
  return `${date} ${MONTHS[month - 1]} ${year}`;
}

export function ago(at) {
  const minutes = Math.round((Date.now() - at) / 60000);
  if (minutes < 1) return "just now";
  if (minutes < 60) return `${minutes} min ago`;
  const hours = Math.round(minutes / 60);
  return hours < 48 ? `${hours} h ago` : `${Math.round(hours / 24)} days ago`;
}

export function stretch(minutes) {
  const whole = Math.floor(minutes / 60);
  const rest = Math.round(minutes % 60);
  return [whole ? `${whole} h` : "", rest || !whole ? `${rest} min` : ""].filter(Boolean).join(" ");
}

export const many = (count, one, more = `${one}s`) => `${count} ${count === 1 ? one : more}`;

export const badge = (tone, text) => h("span", { class: `badge ${tone}` }, text);

export function notice(tone, ...children) {
  return h("div", { class: `notice ${tone}`, role: tone === "stop" ? "alert" : null }, ...children);
}

let serial = 0;
export function field(label, control, { help = "", error = "" } = {}) {
  serial += 1;
  const id = control.id || `f${serial}`;
  control.id = id;
  if (error) {
    control.setAttribute("aria-invalid", "true");
    control.setAttribute("aria-describedby", `${id}-error`);
  }
  return h("div", { class: `field${error ? " wrong" : ""}` },
    h("label", { for: id }, label), control,
    help && h("p", { class: "help" }, help),
    error && h("p", { class: "error", id: `${id}-error` }, error));
}

export const button = (text, press, look = "", facts = {}) =>
  h("button", { type: "button", class: `button ${look}`.trim(), onclick: press, ...facts }, text);

export const link = (text, to, look = "button quiet", facts = {}) => h("a", { href: to, class: look, ...facts }, text);
