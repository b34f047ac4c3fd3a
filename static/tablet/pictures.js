// Photos taken for an entry that is not saved yet, and the field that takes them.
import { h, button } from "./dom.js";
import { NoPicture, photoOf, shrunk } from "./photos.js";

const held = new Map();

export const picturesFor = (key) => held.get(key) || [];
export const forgetPictures = (key) => held.delete(key);

// A field for photos; each is made smaller at once. `purpose` says what they belong to.
export function pictureField(key, purpose, again) {
  const input = h("input", { type: "file", accept: "image/*", capture: "environment", class: "out-of-sight", id: `photo-${key}`, tabindex: "-1", "aria-hidden": "true" });
  const said = h("p", { class: "error", role: "alert", hidden: true });
  input.addEventListener("change", async () => {
    const [file] = input.files;
    if (!file) return;
    try {
      const photo = await photoOf(await shrunk(file), { purpose });
      held.set(key, [...picturesFor(key), photo]);
      again();
    } catch (error) {
      if (!(error instanceof NoPicture)) throw error;
      said.textContent = error.message;
      said.hidden = false;
    }
  });
  const taken = picturesFor(key).map((photo, place) => h("li", {}, h("img", { src: preview(photo), alt: `Photo ${place + 1}, not saved yet` })));
  return h("div", { class: "photo-field" },
    button("Take a photo", () => input.click(), "quiet"), input, said,
    taken.length ? h("ul", { class: "thumbnails" }, taken) : null);
}

const previews = new WeakMap();
function preview(photo) {
  if (!previews.has(photo)) previews.set(photo, URL.createObjectURL(photo.blob));
  return previews.get(photo);
}
