// The strip that always says: signal or none, what waits, when last sent.
import { box, onBox, send } from "./outbox.js";
import { ago, badge, button, clock, h, many } from "./dom.js";
import { line, onLine } from "./net.js";

const CLOCK_OFF_MS = 120000;

export function startStrip(node) {
  // The press stays the same piece of the page: it is never drawn anew under a finger.
  const press = button("Send now", () => { send(); }, "quiet small");
  const said = h("div", { class: "said-of-line" });
  node.replaceChildren(said, press);
  const draw = () => {
    said.replaceChildren(...parts());
    press.hidden = !box.waiting && !box.photos;
    press.textContent = box.sending ? "Sending …" : "Send now";
  };
  onBox(draw);
  onLine(draw);
  setInterval(draw, 30000);
  draw();
}

function parts() {
  return [signal(), waiting(), lastSent(), clockOff(), trouble()].filter(Boolean);
}

function signal() {
  if (line.signal === null) return badge("quiet", "Looking for signal");
  return line.signal ? badge("good", "Signal") : badge("look", "No signal");
}

function waiting() {
  const photos = box.photos ? `, ${many(box.photos, "photo")}` : "";
  if (!box.waiting && !box.photos) return h("span", {}, "Everything is sent");
  const since = box.oldest ? `, oldest ${ago(box.oldest)}` : "";
  const others = box.others ? `; ${box.others} of another person, who must sign in here` : "";
  return h("span", { "data-waiting": box.waiting }, `Waiting to send: ${many(box.waiting, "entry", "entries")}${photos}${since}${others}`);
}

function lastSent() {
  return h("span", {}, box.lastSent ? `Last sent ${clock(box.lastSent)}` : "Nothing sent yet");
}

function clockOff() {
  if (Math.abs(box.clockOff) < CLOCK_OFF_MS) return null;
  const hours = Math.round(Math.abs(box.clockOff) / 3600000);
  const by = hours < 1 ? `${Math.round(Math.abs(box.clockOff) / 60000)} min` : hours < 48 ? `${hours} h` : `${Math.round(hours / 24)} days`;
  return h("span", { class: "wide" }, `▲ This tablet's clock is ${by} off. Times are corrected when sent; set the clock.`);
}

function trouble() {
  if (line.signedIn === false) {
    return h("span", { class: "wide" }, "▲ You are signed out. What waits is kept. ", h("a", { href: "/sign-in/?next=/tab/", class: "button small" }, "Sign in to send it"));
  }
  return box.trouble ? h("span", { class: "wide" }, `▲ ${box.trouble}`) : null;
}
