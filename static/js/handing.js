// A file of what waits, for taking to the laptop by hand: a mark, the length of the list, the list, then photos' bytes.
import * as kept from "./kept.js";
import * as outbox from "./outbox.js";

const MARK = "waiting to send 1\n";
const HEAD = MARK.length + 8;

export class Damaged extends Error {}

export async function fileOf(records) {
  const bytes = [];
  const list = [];
  for (const { turn, memory, ...record } of records) {
    for (const photo of record.photos) bytes.push((await outbox.photoBytes(record, photo.key)).bytes);
    list.push(record);
  }
  const text = new TextEncoder().encode(JSON.stringify(list));
  const head = new TextEncoder().encode(MARK + text.length.toString(16).padStart(8, "0"));
  return new Blob([head, text, ...bytes], { type: "application/octet-stream" });
}

// Puts what is in a file among what waits here; what is here already, or was sent meanwhile, does no harm twice.
export async function takeIn(buffer) {
  const { list, start } = read(buffer);
  let from = start;
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
  const start = HEAD + length;
  const sizes = list.flatMap((record) => record.photos.map((photo) => photo.size));
  const sound = list.every((record) => record.id && record.action.startsWith("/") && Array.isArray(record.fields));
  if (!sound || sizes.reduce((sum, size) => sum + size, start) !== buffer.byteLength) throw new Damaged();
  return { list, start };
}
