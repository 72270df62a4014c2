// A file of what waits, for taking to the laptop by hand: a mark, the length of the list, the list, then photos' bytes.
// The laptop's own page takes it in (taking.js).
import * as outbox from "./outbox.js";

export const MARK = "waiting to send 1\n";

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
