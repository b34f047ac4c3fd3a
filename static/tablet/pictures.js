// Photos taken for an entry that is not saved yet, and the field that takes them. They lie on the
// disk too: a tablet that dies, or the page of the scanner, takes none of them away.
import * as db from "./db.js";
import { h, button } from "./dom.js";
import { NoPicture, photoOf, shrunk } from "./photos.js";

const held = new Map();
// What was said of the last file, by the same key: a page drawn anew still says it.
const words = new Map();
const BUSY = "Making the photo smaller …";
const FULL = "This tablet's storage is full: the photo is kept only while this page stays open. Save it with its entry after sending what waits.";

export const pictureDraft = (key) => `pictures|${key}`;
export const picturesFor = (key) => held.get(key) || [];
export function forgetPictures(key) { held.delete(key); words.delete(key); }

export async function loadPictures() {
  for (const row of await db.all("drafts")) if (row.photos) held.set(row.id.slice(pictureDraft("").length), row.photos);
}

async function hold(key, photos) {
  held.set(key, photos);
  words.delete(key);
  try {
    await db.put("drafts", { id: pictureDraft(key), photos });
  } catch (error) {
    if (!(error instanceof db.StorageFull)) throw error;
    words.set(key, FULL);
  }
}

async function take(file, key, purpose, again) {
  words.set(key, BUSY);
  again();
  try {
    const photo = await photoOf(await shrunk(file), { purpose });
    await hold(key, [...picturesFor(key), photo]);
  } catch (error) {
    words.set(key, error instanceof NoPicture ? error.message : `The photo could not be kept (${error.message}). Take it again.`);
  }
  again();
}

// A field for photos; each is made smaller at once. `purpose` says what they belong to.
export function pictureField(key, purpose, again) {
  const input = h("input", { type: "file", accept: "image/*", capture: "environment", hidden: true });
  input.addEventListener("change", () => {
    const [file] = input.files;
    if (file) take(file, key, purpose, again);
    input.value = "";
  });
  const taken = picturesFor(key).map((photo, place) => h("li", {}, h("img", { src: preview(photo), alt: `Photo ${place + 1}, not saved yet` }),
    button(`Leave photo ${place + 1} out`, async () => { await hold(key, picturesFor(key).filter((one) => one.uid !== photo.uid)); again(); }, "linklike")));
  return h("div", { class: "photo-field" },
    button("Take a photo", () => input.click(), "quiet"), input, said(words.get(key)),
    taken.length ? h("ul", { class: "thumbnails" }, taken) : null);
}

const said = (text) => (text === BUSY ? h("p", { class: "help", role: "status" }, text) : h("p", { class: "error", role: "alert" }, text));

const previews = new Map();
export function preview(photo) {
  if (!previews.has(photo.uid)) previews.set(photo.uid, URL.createObjectURL(photo.blob));
  return previews.get(photo.uid);
}
