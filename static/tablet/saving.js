// Save an entry from a form: on the disk at once, or a message that says what to do.
import { StorageFull } from "./db.js";
import { h, notice } from "./dom.js";
import { write } from "./outbox.js";
import { clearDraft } from "./drafts.js";
import { forgetPictures, pictureDraft } from "./pictures.js";

// Writes the entry and draws anew; false where nothing was saved, with the reason on the page.
export async function save(entry, again, { draftOf = "", picturesOf = "" } = {}) {
  try {
    await write({ ...entry, drafts: picturesOf ? [pictureDraft(picturesOf)] : [] });
  } catch (error) {
    if (!(error instanceof StorageFull)) throw error;
    const words = "This tablet's storage is full: nothing was saved. What you typed is still in its field. Send what waits, take photos off the tablet, then save again.";
    document.getElementById("alerts").replaceChildren(notice("stop", h("p", {}, words)));
    return false;
  }
  document.getElementById("alerts").replaceChildren();
  if (draftOf) clearDraft(entry.job, draftOf);
  if (picturesOf) forgetPictures(picturesOf);
  await again();
  return true;
}
