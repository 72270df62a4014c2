// Sends what waits on this phone, again and again, until the laptop has acknowledged it by its id.
// Forms go in the order of their making; photos go one by one beside them, so that none holds up a tick.
import { told as clockTold } from "./clock.js";
import * as kept from "./kept.js";
import { say } from "./words.js";

const HELLO_MS = 5000;
const ANSWER_MS = 30000;
const STALL_MS = 20000;
const PAUSES_S = [2, 4, 8, 15, 30];
// Answers that another try does not change: a person has to look.
const REFUSED = new Set([400, 404, 405, 409, 410, 413, 415, 422]);
const page = document.documentElement.dataset;

export const news = new EventTarget();
export const now = { away: false, progress: null, session: null };
// Kept in this page only, when the phone's store takes nothing.
const memory = new Map();
const again = { timer: 0, tries: 0 };
const lanes = { forms: null, photos: null, moreForms: false };
let reported = "";

if (page.csrf) {
  now.session = { person: page.person || "", name: page.personName || "", csrf: page.csrf, laptops: [page.laptop] };
}

export function newId() {
  // randomUUID is for secure pages only; this is the same from random bytes (RFC 9562, version 4).
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 15) | 64;
  bytes[8] = (bytes[8] & 63) | 128;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

// Puts a form with its photos into the phone's store and starts to send it. Gives false when it could only be kept in
// this page.
export async function keep(record, photos, more) {
  let onDisk = true;
  try {
    await kept.add(record, photos, more);
  } catch {
    onDisk = false;
    memory.set(record.id, { record: { ...record, turn: Number.MAX_SAFE_INTEGER, memory: true }, photos });
  }
  changed();
  push();
  return onDisk;
}

export async function all() {
  const here = [...memory.values()].map(({ record }) => record);
  try {
    return [...(await kept.all()), ...here];
  } catch {
    return here;
  }
}

export function photoBytes(record, key) {
  const here = memory.get(record.id);
  return here ? here.photos.find((photo) => photo.key === key) : kept.photo(key);
}

// What keeps a record from being sent, as things stand: "" for nothing.
export function hindrance(record) {
  if (record.state === "look") return "look";
  if (now.session && !now.session.laptops.includes(record.laptop)) return "elsewhere";
  if (person() && record.person !== person()) return "others";
  return person() ? "" : "sign-in";
}

// Who is signed in on this phone, as far as the page knows: an id, "" for nobody.
export function person() {
  return now.session ? now.session.person : page.person || "";
}

// Sends now, whatever the pause.
export function push() {
  clearTimeout(again.timer);
  if (lanes.forms) lanes.moreForms = true;
  else lanes.forms = sendForms().finally(() => (lanes.forms = null));
  if (!lanes.photos) lanes.photos = sendPhotos().finally(() => (lanes.photos = null));
  Promise.all([lanes.forms, lanes.photos]).then(plan, plan);
}

// A person looked at a refused form and has it tried once more; its photos are sent anew, in case the laptop lost them.
export async function retry(id) {
  await edit(id, (record) => {
    record.state = "waiting";
    record.message = "";
    for (const photo of record.photos) photo.sha = null;
  });
  changed();
  push();
}

export async function withoutPhoto(id, key) {
  await edit(id, (record) => {
    record.photos = record.photos.filter((photo) => photo.key !== key);
  });
  await retry(id);
}

export async function discard(id) {
  if (!memory.delete(id)) await kept.finish(id);
  changed();
}

// Takes back what is kept here; gives false when it is not here any more. What was tried may have reached the laptop,
// so that the laptop is told to take it back too.
export async function takeBack(id) {
  const after = (record) => record.tried && undoing(record);
  const here = memory.get(id);
  const found = here ? memory.delete(id) : await kept.swap(id, after);
  const next = here && after(here.record);
  if (next) memory.set(next.id, { record: { ...next, turn: Number.MAX_SAFE_INTEGER, memory: true }, photos: [] });
  changed();
  push();
  return found;
}

function undoing({ turn, tried, undo, ...record }) {
  const id = newId();
  const list = record.fields.find(([name]) => name === "list_id");
  const fields = [list, ["of_form", record.id], ["form_id", id], ["at", new Date().toISOString()]];
  return { ...record, id, fields, road: record.action, action: undo, photos: [], shown: [[say("pressed"), say("undone")]], state: "waiting" };
}

// Asks the laptop who is signed in here and for a token; gives whether it answered.
export async function hello() {
  const answer = await ask("/waiting/hello", {}, HELLO_MS);
  if (!answer || !answer.told || !answer.told.csrf) return reach(false);
  const { person, csrf, laptops, now: instant } = answer.told;
  clockTold(instant);
  now.session = { person: person ? person.id : "", name: person ? person.name : "", csrf, laptops };
  reach(true);
  changed();
  return true;
}

async function sendForms() {
  do {
    lanes.moreForms = false;
    const records = await all();
    const open = records.filter((record) => record.state !== "look");
    if (!open.length) return;
    if (needsHello(open) && !(await hello())) return;
    const late = new Set();
    for (const record of open) {
      const road = record.road || record.action;
      const held = late.has(road) || hindrance(record) || record.photos.some((photo) => !photo.sha);
      if (held) {
        // What is sent to one address keeps its order: an answer given later must not come first.
        if (hindrance(record) === "") late.add(road);
        continue;
      }
      const fresh = (await all()).find((one) => one.id === record.id);
      const came = fresh ? await post(fresh) : "done";
      if (came === "stop") return;
      if (came === "later") late.add(road);
    }
  } while (lanes.moreForms);
}

function needsHello(open) {
  return now.away || !now.session || open.every((record) => hindrance(record));
}

// Gives "done" when this one is settled, "later" when the laptop could not take just this one, "stop" for all.
async function post(record, second = false) {
  // From here on it may reach the laptop, whatever comes of it. Taken back meanwhile, it is not sent.
  if (record.undo && !record.tried && !(await tried(record.id))) return "done";
  const body = new FormData();
  body.append("csrf", now.session.csrf);
  for (const [name, value] of record.fields) body.append(name, value);
  for (const photo of record.photos) body.append(`${photo.field}_sha`, photo.sha);
  const answer = await ask(record.action, { method: "POST", body }, ANSWER_MS);
  const { status, told } = answer || {};
  if (told && told.form === record.id && told.saved === true) {
    if (!memory.delete(record.id)) await kept.finish(record.id, told.follow);
    reach(true);
    tell("sent", { record, location: told.location });
    changed();
    return "done";
  }
  if (told && (status === 401 || (status === 403 && !second))) {
    if (!(await hello()) || hindrance(record)) return "stop";
    return status === 403 ? post(record, true) : "stop";
  }
  // What has not our answer's shape did not come from the laptop.
  if (!told && status !== 413) return reach(false) || "stop";
  reach(true);
  if (REFUSED.has(status) || status === 403) {
    await refuse(record, status, told);
    return "done";
  }
  await edit(record.id, (one) => (one.message = told.message || ""));
  again.tries += 1;
  return "later";
}

function tried(id) {
  const mark = (record) => (record.tried = true);
  const here = memory.get(id);
  if (here) return Promise.resolve(mark(here.record));
  // A store that takes nothing more must not keep it from being sent.
  return kept.patch(id, mark).catch(() => true);
}

async function refuse(record, status, told) {
  const problems = told && told.problems ? told.problems.map((one) => one.message) : [];
  const message = problems.join(" ") || (told && told.message) || "";
  await edit(record.id, (one) => Object.assign(one, { state: "look", status, message }));
  tell("refused", { record, status });
  changed();
}

async function sendPhotos() {
  for (;;) {
    const records = (await all()).filter((record) => !hindrance(record) && record.photos.some((photo) => !photo.sha));
    if (!records.length) return;
    if ((now.away || !now.session) && !(await hello())) return;
    const record = records[0];
    const photo = record.photos.find((one) => !one.sha);
    if (!(await sendPhoto(record, photo))) return;
    if (record.photos.every((one) => one.sha || one === photo)) push();
  }
}

async function sendPhoto(record, photo, second = false) {
  const found = await photoBytes(record, photo.key);
  if (!found) {
    await refuse(record, 0, { message: say("photoGone") });
    return true;
  }
  const place = record.photos.indexOf(photo) + 1;
  const { status, told } = await upload(found, photo, (share) => {
    now.progress = { id: record.id, place, count: record.photos.length, share };
    tell("progress", {});
  });
  now.progress = null;
  tell("progress", {});
  if (told && told.saved === true && told.bytes === found.bytes.byteLength) {
    reach(true);
    await edit(record.id, (one) => {
      const same = one.photos.find((other) => other.key === photo.key);
      if (same) same.sha = told.sha256;
    });
    return true;
  }
  if (told && (status === 401 || (status === 403 && !second))) {
    if (!(await hello())) return false;
    if (hindrance(record)) return true;
    return status === 403 && sendPhoto(record, photo, true);
  }
  if (!told && status !== 413) return reach(false);
  reach(true);
  if (REFUSED.has(status) || status === 403) {
    await edit(record.id, (one) => {
      const same = one.photos.find((other) => other.key === photo.key);
      if (same) same.refused = true;
    });
    await refuse(record, status, told);
    return true;
  }
  await edit(record.id, (one) => (one.message = told.message || ""));
  return false;
}

// XMLHttpRequest, since fetch tells nothing of how far a photo has come. Given up when nothing moves any more.
function upload(found, photo, progress) {
  return new Promise((resolve) => {
    const request = new XMLHttpRequest();
    let stalled = 0;
    const moving = () => {
      clearTimeout(stalled);
      stalled = setTimeout(() => request.abort(), STALL_MS);
    };
    request.open("POST", "/photos");
    request.setRequestHeader("Accept", "application/json");
    request.setRequestHeader("X-CSRF-Token", now.session.csrf);
    request.upload.onprogress = (event) => {
      moving();
      progress(event.total ? event.loaded / event.total : 0);
    };
    request.onloadend = () => {
      clearTimeout(stalled);
      resolve({ status: request.status, told: parsed(request.responseText) });
    };
    const body = new FormData();
    body.append("photo", new Blob([found.bytes], { type: photo.type }), photo.name);
    moving();
    progress(0);
    request.send(body);
  });
}

async function ask(address, options, limit) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), limit);
  try {
    const answer = await fetch(address, {
      ...options,
      headers: { Accept: "application/json" },
      cache: "no-store",
      redirect: "error",
      signal: stop.signal,
    });
    return { status: answer.status, told: parsed(await answer.text()) };
  } catch {
    return null;
  } finally {
    clearTimeout(timer);
  }
}

function parsed(text) {
  try {
    const told = JSON.parse(text);
    return told && typeof told === "object" ? told : null;
  } catch {
    return null;
  }
}

function edit(id, change) {
  const here = memory.get(id);
  if (!here) return kept.patch(id, change);
  change(here.record);
  return Promise.resolve();
}

function reach(answered) {
  if (answered) again.tries = 0;
  if (now.away === answered) {
    now.away = !answered;
    changed();
  }
  return answered;
}

async function plan() {
  clearTimeout(again.timer);
  const records = await all();
  if (!now.away) report(records);
  if (!records.some((record) => record.state !== "look")) return;
  const pause = PAUSES_S[Math.min(again.tries, PAUSES_S.length - 1)];
  again.tries += 1;
  again.timer = setTimeout(push, pause * 1000);
}

// Tells the laptop how much waits here, for the person who looks after the crew's phones.
async function report(records) {
  const look = records.filter((record) => record.state === "look").length;
  const counts = `${records.length - look} ${look}`;
  if (!now.session || !now.session.person || counts === reported) return;
  const body = new FormData();
  body.append("csrf", now.session.csrf);
  body.append("waiting", String(records.length - look));
  body.append("look", String(look));
  const answer = await ask("/waiting/report", { method: "POST", body }, HELLO_MS);
  if (answer && answer.status === 200) reported = counts;
}

function tell(kind, detail) {
  news.dispatchEvent(new CustomEvent(kind, { detail }));
}

export function changed() {
  tell("change", {});
}

export function start() {
  const wake = () => {
    again.tries = 0;
    push();
  };
  addEventListener("online", wake);
  addEventListener("pageshow", wake);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && wake());
  addEventListener("beforeunload", (event) => {
    if (memory.size) event.preventDefault();
  });
}
