// The scanner: the camera's picture, or a photo, or typing; what it reads goes back to its field.
import { leaveScanned } from "./codes.js";

const asked = new URLSearchParams(location.search);
const back = /^#\/job\/\d+/.test(asked.get("back") || "") ? `/tab/${asked.get("back")}` : "/tab/";
const said = document.getElementById("said");
const video = document.getElementById("camera");
const LOOK_EVERY_MS = 150;
let reader = null;
let stopped = false;

document.getElementById("back").href = back;

function finish(code) {
  stopped = true;
  for (const track of (video.srcObject ? video.srcObject.getTracks() : [])) track.stop();
  leaveScanned({ job: Number(asked.get("job")), target: asked.get("target"), name: asked.get("name"), code: code.trim().slice(0, 60) });
  location.replace(back);
}

function makeReader() {
  // The library would fetch its machine from a public host: it is pointed at our own file.
  const { BarcodeDetector, prepareZXingModule } = window.BarcodeDetectionAPI;
  const wasm = document.documentElement.dataset.wasm;
  prepareZXingModule({ overrides: { locateFile: () => wasm } });
  return new BarcodeDetector();
}

async function readFrom(source) {
  reader ??= makeReader();
  const found = await reader.detect(source);
  return found.length ? found[0].rawValue : "";
}

async function look() {
  if (stopped) return;
  if (video.readyState >= 2) {
    const code = await readFrom(video);
    if (code) { finish(code); return; }
  }
  setTimeout(() => look().catch(fail), LOOK_EVERY_MS);
}

function fail() {
  said.textContent = "The reader of codes could not be started. Type the code below.";
}

async function startCamera() {
  if (!navigator.mediaDevices) { said.textContent = "This page gets no camera here. Type the code below, or read it from a photo."; return; }
  try {
    video.srcObject = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
  } catch {
    said.textContent = "The camera is not open to this page. Allow it in the browser, read the code from a photo, or type it below.";
    return;
  }
  await video.play();
  said.textContent = "Hold the code before the camera.";
  await look();
}

document.getElementById("typed").addEventListener("submit", (event) => {
  event.preventDefault();
  const code = document.getElementById("code").value.trim();
  if (code) finish(code);
});
document.getElementById("photo").addEventListener("change", async (event) => {
  const [file] = event.target.files;
  if (!file) return;
  try {
    const code = await readFrom(await createImageBitmap(file));
    if (code) finish(code);
    else said.textContent = "No code was found in this photo. Go nearer, in good light, or type it below.";
  } catch {
    said.textContent = "This file could not be read as a picture. Type the code below.";
  }
});
startCamera().catch(fail);
