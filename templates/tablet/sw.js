// Answers when there is no signal. The name of the store holds the build: a new build is a new store.
const BUILD = "tablet-{{ build }}";
const SCANNER = "tablet-scanner-{{ scanner_mark }}";
const KEPT = "tablet-kept";
const SHELL = "{% url 'tablet:app' %}";
const SCAN = "{% url 'tablet:scan' %}";
const FILES = [{% for file in files %}"{{ file|escapejs }}"{% if not forloop.last %}, {% endif %}{% endfor %}];
const SCANNER_FILES = [{% for file in scanner_files %}"{{ file|escapejs }}"{% if not forloop.last %}, {% endif %}{% endfor %}];

self.addEventListener("install", (event) => {
  // Past the browser's own store, so that one build is never made of two.
  event.waitUntil(caches.open(BUILD).then((store) => store.addAll(FILES.map((file) => new Request(file, { cache: "reload" })))));
});

self.addEventListener("activate", (event) => {
  const ours = [BUILD, SCANNER, KEPT];
  event.waitUntil(
    caches.keys()
      .then((names) => Promise.all(names.filter((name) => name.startsWith("tablet-") && !ours.includes(name)).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
  if (event.data === "scanner") event.waitUntil(keepScanner().then((kept) => { if (kept) event.source.postMessage("scanner kept"); }));
});

// One at a time: pages ask for it whenever they take jobs along.
let keeping = null;
function keepScanner() {
  keeping ??= addScanner().finally(() => { keeping = null; });
  return keeping;
}

async function addScanner() {
  const store = await caches.open(SCANNER);
  for (const file of SCANNER_FILES) {
    if (!(await store.match(file))) await store.add(new Request(file, { cache: "reload" })).catch(() => {});
  }
  return (await store.keys()).length === SCANNER_FILES.length;
}

self.addEventListener("fetch", (event) => {
  const request = event.request;
  const address = new URL(request.url);
  // What is sent goes to the desk or fails: it is never answered from here.
  if (request.method !== "GET" || address.origin !== self.location.origin) return;
  if (request.mode === "navigate" && address.pathname.startsWith(SHELL)) {
    event.respondWith(stored(address.pathname === SCAN ? SCAN : SHELL, request));
  } else if (FILES.includes(address.pathname) || SCANNER_FILES.includes(address.pathname)) {
    event.respondWith(stored(address.pathname, request));
  } else if (address.pathname.startsWith("/boats/photos/") || address.pathname.startsWith("/papers/")) {
    event.respondWith(stored(address.pathname, request));
  }
});

// From the tablet first; what is not there comes from the desk.
async function stored(path, request) {
  for (const name of [BUILD, SCANNER, KEPT]) {
    const store = await caches.open(name);
    const found = await store.match(path);
    if (found) return found;
  }
  return fetch(request);
}
