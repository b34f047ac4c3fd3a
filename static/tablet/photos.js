// Photos: made smaller on the tablet, kept on its disk, sent in pieces from where they broke off.
import * as db from "./db.js";
import { ask, line, Refused } from "./net.js";

const PIECE = 128 * 1024;
const LONGEST = 2000;
const QUALITY = 0.82;
const MOST_BYTES = Number(document.documentElement.dataset.photoLimit || 12 * 1024 * 1024);

export class NoPicture extends Error {}

async function drawn(file) {
  try {
    return await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    throw new NoPicture(`“${file.name || "This file"}” is no picture that the tablet can open. Take the photo again, or choose another.`);
  }
}

// A camera's file as a JPEG of at most 2000 dots a side; NoPicture with words for the person.
export async function shrunk(file) {
  const picture = await drawn(file);
  const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  const ink = canvas.getContext("2d");
  ink.fillStyle = "white";
  ink.fillRect(0, 0, canvas.width, canvas.height);
  ink.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise((resolve) => { canvas.toBlob(resolve, "image/jpeg", QUALITY); });
  if (!blob || blob.size > MOST_BYTES) throw new NoPicture("This picture is too large even when made smaller. Take it again.");
  return blob;
}

export async function digestOf(blob) {
  const sum = await crypto.subtle.digest("SHA-256", await blob.arrayBuffer());
  return [...new Uint8Array(sum)].map((one) => one.toString(16).padStart(2, "0")).join("");
}

// A photo ready to be written down with its entry.
export async function photoOf(blob, { purpose, caption = "" }) {
  return { uid: crypto.randomUUID(), blob, digest: await digestOf(blob), purpose, caption };
}

// Send each announced photo, piece by piece; what broke off goes on where it was.
export async function sendPhotos(told) {
  for (const row of await db.all("photos")) {
    if (row.person !== line.person.pk || !(await wanted(row))) continue;
    await sendOne(row);
    await told();
  }
}

// What the desk would not take at first it may have taken into the job since.
async function wanted(row) {
  if (row.announced) return row.state === "waiting";
  if (row.state !== "refused") return false;
  try {
    return (await ask(`/api/tablet/photos/${row.uid}/`)).state === "receiving";
  } catch (error) {
    if (error instanceof Refused && error.status === 404) return false;
    throw error;
  }
}

async function sendOne(row) {
  const address = `/api/tablet/photos/${row.uid}/`;
  let facts = await ask(address);
  let stuck = 0;
  while (facts.state === "receiving" && stuck < 3) {
    const start = facts.have;
    const piece = row.blob.slice(start, start + PIECE);
    facts = await sendPiece(address, row, start, piece);
    await db.put("photos", { ...row, announced: true, state: "waiting", sent: facts.have });
    stuck = facts.have > start || facts.state !== "receiving" ? 0 : stuck + 1;
  }
  if (facts.state === "ready") await db.drop("photos", row.uid);
  if (facts.state === "refused") await db.put("photos", { ...row, announced: true, state: "refused", message: facts.message });
}

async function sendPiece(address, row, start, piece) {
  try {
    return await ask(address, {
      method: "PUT",
      headers: { "Content-Type": "application/octet-stream", "Content-Range": `bytes ${start}-${start + piece.size - 1}/${row.blob.size}` },
      body: piece,
    });
  } catch (error) {
    if (error instanceof Refused && error.status === 409) return error.facts;
    throw error;
  }
}
