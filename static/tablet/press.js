// A press that began on one piece of the page must end on it: nothing is drawn anew in between.
const CLICK_COMES_MS = 200;
let pressed = false;
let timer = 0;
let held = [];

function over() {
  clearTimeout(timer);
  pressed = false;
  const told = held;
  held = [];
  for (const go of told) go();
}

window.addEventListener("pointerdown", () => { clearTimeout(timer); pressed = true; }, true);
// The click comes after the finger is up, and its own handlers come before anything is drawn.
window.addEventListener("pointerup", () => { clearTimeout(timer); timer = setTimeout(over, CLICK_COMES_MS); }, true);
window.addEventListener("click", () => { clearTimeout(timer); timer = setTimeout(over, 0); }, true);
window.addEventListener("pointercancel", over, true);
window.addEventListener("blur", over);

// Resolves at once where no finger is down, else when its press is done.
export const pressOver = () => (pressed ? new Promise((resolve) => { held.push(resolve); }) : Promise.resolve());
