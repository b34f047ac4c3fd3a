// A keyboard-wedge scanner types fast and ends in Enter: wherever the focus is, its code is counted.
(() => {
  "use strict";
  const FAST_MS = 45;
  const SHORTEST = 3;
  const form = () => document.querySelector("form[data-scan]");
  const waiting = [];
  let busy = false;

  const post = async (url, code) => {
    const target = form().dataset.scanTarget;
    await window.htmx.ajax("POST", url, { target, swap: "innerHTML", values: code === null ? {} : { code } });
    const box = document.getElementById("code");
    if (box) { box.focus(); box.select(); }
  };
  // One after the other: what is scanned while an answer is on its way waits its turn.
  const work = async () => {
    if (busy) return;
    busy = true;
    while (waiting.length && form()) await post(...waiting.shift());
    busy = false;
  };
  const count = (code) => { if (code.trim()) { waiting.push([form().action, code.trim()]); work(); } };

  document.addEventListener("submit", (event) => {
    const sent = event.target;
    if (sent.matches("form[data-scan]")) {
      event.preventDefault();
      event.stopPropagation();
      const box = sent.elements.code;
      count(box.value);
      box.value = "";
    } else if (sent.matches("form[data-undo]")) {
      event.preventDefault();
      event.stopPropagation();
      waiting.push([sent.action, null]);
      work();
    }
  }, true);

  // The camera reads the same codes; the library and its machine are our own files.
  let camera = null;
  const AGAIN_MS = 2000, LOOK_MS = 200;
  const library = (box) => new Promise((done, fail) => {
    if (window.BarcodeDetectionAPI) { done(); return; }
    const script = document.createElement("script");
    script.src = box.dataset.library;
    script.onload = done;
    script.onerror = fail;
    document.head.append(script);
  });
  const say = (words) => { const place = document.getElementById("camera-said"); if (place) place.textContent = words; };
  const stopCamera = () => {
    if (!camera) return;
    for (const track of camera.stream.getTracks()) track.stop();
    camera = null;
    const box = document.getElementById("camera-box");
    if (box) box.hidden = true;
  };
  const look = async (detector, video, before) => {
    if (!camera) return;
    if (video.readyState >= 2) {
      const found = await detector.detect(video);
      const code = found.length ? found[0].rawValue : "";
      const now = performance.now();
      if (code && (code !== before.code || now - before.at > AGAIN_MS)) { before = { code, at: now }; say(`Read ${code}.`); count(code); }
    }
    window.setTimeout(() => look(detector, video, before).catch(() => say("The reader of codes could not be started. Type the code.")), LOOK_MS);
  };
  const startCamera = async (box) => {
    const video = box.querySelector("video");
    if (!navigator.mediaDevices) { say("This page gets no camera here. It needs a secure address; type the code."); return; }
    try {
      camera = { stream: await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } }) };
    } catch {
      say("The camera is not open to this page. Allow it in the browser, or type the code.");
      return;
    }
    video.srcObject = camera.stream;
    await video.play();
    await library(box);
    const { BarcodeDetector, prepareZXingModule } = window.BarcodeDetectionAPI;
    prepareZXingModule({ overrides: { locateFile: () => box.dataset.wasm } });
    say("Hold the code before the camera.");
    await look(new BarcodeDetector(), video, { code: "", at: 0 });
  };
  document.addEventListener("click", (event) => {
    if (!event.target.closest("[data-camera]")) return;
    const box = document.getElementById("camera-box");
    if (camera) { stopCamera(); return; }
    box.hidden = false;
    startCamera(box).catch(() => say("The reader of codes could not be started. Type the code."));
  });

  let typed = "", last = 0;
  const field = (el) => el instanceof HTMLElement && /^(INPUT|TEXTAREA|SELECT)$/.test(el.tagName) && !["checkbox", "radio"].includes(el.type);
  document.addEventListener("keydown", (event) => {
    if (!form() || event.ctrlKey || event.metaKey || event.altKey || field(event.target)) { typed = ""; return; }
    const now = event.timeStamp;
    if (now - last > FAST_MS) typed = "";
    last = now;
    if (event.key === "Enter") {
      if (typed.length >= SHORTEST) { event.preventDefault(); event.stopPropagation(); count(typed); }
      typed = "";
    } else if (event.key.length === 1) {
      typed += event.key;
      if (typed.length > 1) { event.preventDefault(); event.stopPropagation(); }
    }
  }, true);
})();
