// A box to sign in with a finger; every stroke is a line between the points that were touched.
import { h } from "./dom.js";

export function signaturePad() {
  const canvas = h("canvas", { width: 700, height: 240, class: "pad", role: "img", "aria-label": "Box for the customer's signature" });
  const ink = canvas.getContext("2d");
  let strokes = 0;
  let last = null;
  const wipe = () => { ink.fillStyle = "white"; ink.fillRect(0, 0, canvas.width, canvas.height); strokes = 0; };
  wipe();
  const place = (event) => {
    const box = canvas.getBoundingClientRect();
    return [(event.clientX - box.left) * (canvas.width / box.width), (event.clientY - box.top) * (canvas.height / box.height)];
  };
  canvas.addEventListener("pointerdown", (event) => { canvas.setPointerCapture(event.pointerId); last = place(event); event.preventDefault(); });
  canvas.addEventListener("pointermove", (event) => {
    if (!last) return;
    const here = place(event);
    ink.strokeStyle = "black";
    ink.lineWidth = 3;
    ink.lineCap = "round";
    ink.beginPath();
    ink.moveTo(...last);
    ink.lineTo(...here);
    ink.stroke();
    last = here;
    strokes += 1;
  });
  for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, () => { last = null; });
  return { node: canvas, wipe, empty: () => strokes < 3, picture: () => new Promise((resolve) => { canvas.toBlob(resolve, "image/jpeg", 0.9); }) };
}
