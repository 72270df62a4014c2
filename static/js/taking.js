// Takes a file of what waits on a phone in among what waits here, on the page of the laptop that is made for it.
import { MARK } from "./handing.js";
import * as kept from "./kept.js";
import * as outbox from "./outbox.js";
import { say } from "./words.js";

const HEAD = MARK.length + 8;

class Damaged extends Error {}

export function start(page) {
  for (const box of page.querySelectorAll("[data-waiting-file]")) taking(box);
}

function taking(box) {
  const input = box.querySelector("input");
  box.hidden = false;
  input.addEventListener("change", async () => {
    const says = box.querySelector("[data-says]");
    try {
      const n = await takeIn(await input.files[0].arrayBuffer());
      says.textContent = say("takenIn", { n });
      outbox.changed();
      outbox.push();
    } catch (error) {
      if (!(error instanceof Damaged)) throw error;
      says.textContent = say("damaged");
    }
    input.value = "";
  });
}

// Puts what is in a file among what waits here; what is here already, or was sent meanwhile, does no harm twice.
async function takeIn(buffer) {
  const { list, photosAt } = read(buffer);
  let from = photosAt;
  let count = 0;
  for (const record of list) {
    const photos = record.photos.map((photo) => {
      const bytes = buffer.slice(from, from + photo.size);
      from += photo.size;
      return { key: photo.key, bytes };
    });
    record.photos = record.photos.map((photo) => ({ ...photo, sha: null }));
    try {
      await kept.add({ ...record, state: "waiting", message: "" }, photos);
      count += 1;
    } catch (error) {
      if (error.name !== "ConstraintError") throw error;
    }
  }
  return count;
}

function read(buffer) {
  const head = new TextDecoder().decode(buffer.slice(0, HEAD));
  const length = parseInt(head.slice(MARK.length), 16);
  if (!head.startsWith(MARK) || Number.isNaN(length)) throw new Damaged();
  let list;
  try {
    list = JSON.parse(new TextDecoder().decode(buffer.slice(HEAD, HEAD + length)));
  } catch {
    throw new Damaged();
  }
  const photosAt = HEAD + length;
  const sizes = list.flatMap((record) => record.photos.map((photo) => photo.size));
  const sound = list.every((record) => record.id && record.action.startsWith("/") && Array.isArray(record.fields));
  if (!sound || sizes.reduce((sum, size) => sum + size, photosAt) !== buffer.byteLength) throw new Damaged();
  return { list, photosAt };
}
