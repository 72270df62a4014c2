// Every form of a page: kept on the phone before it is sent, or, where it records nothing that may be kept there,
// sent as the browser does, with a guard against a nervous finger.
import { laptopNow } from "./clock.js";
import * as drafts from "./drafts.js";
import * as outbox from "./outbox.js";
import * as saving from "./saving.js";
import { clockTime, say } from "./words.js";

const NERVOUS_MS = 4000;
const NOTE_AFTER_MS = 1200;
const HERE = location.pathname + location.search;
const page = document.documentElement.dataset;
const watched = [];

export function start() {
  outbox.start();
  saving.start();
  for (const form of document.querySelectorAll("form[data-keep]")) {
    if (form.dataset.keep === "wait" && page.person) watched.push(new Kept(form));
    else guard(form);
  }
  outbox.news.addEventListener("sent", ({ detail }) => watched.forEach((one) => one.sent(detail)));
  outbox.news.addEventListener("refused", ({ detail }) => watched.forEach((one) => one.refused(detail)));
  addEventListener("pageshow", (event) => event.persisted && watched.forEach((one) => one.cameBack()));
  outbox.push();
}

class Kept {
  constructor(form) {
    this.form = form;
    this.memory = `sent ${location.pathname} ${form.id}`;
    this.id = null; // of what was kept from this form and is not known to be saved
    this.before = wentBack() && !this.problems() ? remembered(this.memory) : null;
    this.dirty = false;
    form.addEventListener("input", () => this.typed());
    form.addEventListener("submit", (event) => this.submitted(event));
    form.addEventListener("takenback", () => this.takenBack());
    drafts.watch(form, this.problems(), () => this.typed());
  }

  problems() {
    return this.form.querySelector("[data-problems]");
  }

  typed() {
    this.dirty = true;
    saving.typing(true);
  }

  async submitted(event) {
    // What asks for more lines goes to the laptop as it is; nothing is saved by it.
    if (event.defaultPrevented || (event.submitter && event.submitter.name === "more")) return;
    event.preventDefault();
    if (this.form.inert) return;
    this.close(event.submitter);
    saving.keeping();
    try {
      await this.keep(event.submitter);
    } catch (error) {
      this.open();
      saving.typing(true);
      this.note(say("unreadable"));
      console.error(error);
    }
  }

  async keep(submitter) {
    const { record, photos } = await described(this.form, submitter);
    // After going back, the same id lets the laptop tell a repeat or a correction from something new.
    named(record, this.before || outbox.newId());
    this.before = null;
    const more = { draft: drafts.key(this.form), instead: this.problems() ? looking(record.action) : null };
    drafts.stop(this.form);
    this.id = this.form.dataset.kept = record.id;
    const there = (await outbox.all()).find((one) => one.id === record.id);
    // That id still waits here: with these very words, or with others, so that these are something new.
    if (there && !same(there, record)) this.id = this.form.dataset.kept = named(record, outbox.newId());
    const onDisk = there && same(there, record) ? true : await outbox.keep(record, photos, more);
    this.dirty = false;
    remember(this.memory, record.id);
    saving.typing(watched.some((one) => one.dirty));
    const words = say(onDisk ? "keptNow" : "keptHere", { time: clockTime(laptopNow()) });
    setTimeout(() => this.id === record.id && this.note(words, null), NOTE_AFTER_MS);
  }

  async sent({ record, location: where }) {
    if (record.id !== this.id) return;
    this.id = null;
    // Left only for a laptop that still answers: a page that did not come could not be filled in at all.
    if (!this.elsewhere() && (await outbox.hello()) && !this.elsewhere()) show(where);
    else this.note(say("savedNow"), where);
  }

  // The laptop's own page says best what is wrong, with all that was typed in its place.
  refused({ record, status }) {
    if (record.id !== this.id) return;
    const whole = record.photos.every((photo) => photo.sha);
    if (!this.elsewhere() && (status === 409 || status === 422) && whole) look(record);
    // It may be put right in the list of what waits, so that this form still wants to know when it is saved.
    else this.note(record.message || say(`status${status}`), null);
  }

  // Whether the person is at something else on this page, from which they should not be taken.
  elsewhere() {
    return document.querySelector("dialog[open]") || watched.some((one) => one !== this && (one.dirty || one.id));
  }

  cameBack() {
    this.before = remembered(this.memory);
    this.id = null;
    this.open();
    saving.typing(true);
  }

  // Taken out of the phone's store again: open as it was, and the next sending is something new.
  takenBack() {
    this.id = null;
    remember(this.memory, "");
    this.open();
    this.form.dispatchEvent(new Event("change"));
  }

  close(submitter) {
    this.form.inert = true;
    this.form.classList.add("kept");
    for (const button of buttons(this.form)) button.disabled = true;
    if (submitter) submitter.setAttribute("aria-busy", "true");
  }

  open() {
    this.form.inert = false;
    this.form.classList.remove("kept");
    for (const button of buttons(this.form)) {
      button.disabled = false;
      button.removeAttribute("aria-busy");
    }
    if (this.said) this.said.remove();
    this.said = null;
  }

  note(words, where) {
    if (!this.said) {
      this.said = document.getElementById("kept-note").content.firstElementChild.cloneNode(true);
      this.said.querySelector("button").addEventListener("click", () => this.once_more());
      this.form.after(this.said);
    }
    for (const button of buttons(this.form)) button.removeAttribute("aria-busy");
    this.said.querySelector("[data-says]").textContent = words;
    const link = this.said.querySelector("a");
    link.hidden = !where;
    if (where) link.href = where;
    this.said.querySelector("button").hidden = where === undefined;
  }

  once_more() {
    this.id = null;
    this.open();
    this.form.reset();
    this.form.dispatchEvent(new Event("change", { bubbles: true }));
    const first = this.form.querySelector("input:not([type=hidden]), select, textarea");
    if (first) first.focus();
  }
}

// What a form says, as plain values: fields, photos as bytes, and words to show it to a person again.
async function described(form, submitter) {
  const fields = submitter && submitter.name ? [[submitter.name, submitter.value]] : [];
  const photos = [];
  for (const [name, value] of new FormData(form)) {
    if (typeof value === "string") {
      if (name !== "csrf") fields.push([name, value]);
    } else if (value.name && value.size) {
      const key = outbox.newId();
      photos.push({ key, field: name, name: value.name, type: value.type, bytes: await value.arrayBuffer() });
    }
  }
  const made = Date.now();
  const record = {
    person: page.person,
    personName: page.personName,
    laptop: page.laptop,
    action: new URL(form.action).pathname,
    undo: form.dataset.undo,
    page: HERE,
    title: document.title,
    shown: drafts.shown(form, submitter),
    made,
    state: "waiting",
    message: "",
    fields,
    photos: photos.map(({ bytes, ...photo }) => ({ ...photo, size: bytes.byteLength, sha: null })),
  };
  // A drawing made anew takes the place of the one that the laptop has.
  for (const input of form.querySelectorAll("[data-signature] input[type=file]")) {
    if (input.files.length) record.fields = record.fields.filter(([name]) => name !== `${input.name}_sha`);
  }
  set(record, "at", new Date(made).toISOString());
  return { record, photos };
}

function named(record, id) {
  set(record, "form_id", id);
  return (record.id = id);
}

function set(record, name, value) {
  record.fields = [...record.fields.filter(([other]) => other !== name), [name, value]];
}

// Whether two records say the same, whenever they were made.
function same(one, other) {
  const words = (record) => record.fields.filter(([name]) => name !== "at" && name !== "form_id");
  const files = (record) => record.photos.map(({ field, name, size }) => [field, name, size]);
  return JSON.stringify([words(one), files(one)]) === JSON.stringify([words(other), files(other)]);
}

function guard(form) {
  const id = form.elements.namedItem("form_id");
  const memory = `sent ${location.pathname} ${form.id}`;
  const before = wentBack() && !form.querySelector("[data-problems]") ? remembered(memory) : null;
  let sentAt = 0;
  if (id && before) id.value = before;
  form.addEventListener("input", () => saving.typing(true));
  form.addEventListener("submit", (event) => {
    if (event.defaultPrevented) return;
    const pressed = Date.now();
    if (pressed - sentAt < NERVOUS_MS) return event.preventDefault();
    sentAt = pressed;
    const at = form.querySelector("[data-at]");
    if (at) at.value = new Date(pressed).toISOString();
    if (id) remember(memory, id.value);
    if (!event.submitter) return;
    event.submitter.setAttribute("aria-busy", "true");
    setTimeout(() => event.submitter.removeAttribute("aria-busy"), NERVOUS_MS);
  });
  addEventListener("pageshow", (event) => event.persisted && (sentAt = 0));
}

// Sends a refused form once more as a page load, so that it comes back with what is wrong beside each field.
export async function look(record) {
  if (!(await outbox.hello())) return false;
  const form = document.createElement("form");
  const put = (name, value) => {
    const input = document.createElement("textarea");
    [input.name, input.value] = [name, value];
    form.append(input);
  };
  form.method = "post";
  form.action = record.action;
  form.enctype = "multipart/form-data";
  form.hidden = true;
  put("csrf", outbox.now.session.csrf);
  for (const [name, value] of record.fields) put(name, value);
  for (const photo of record.photos) if (photo.sha) put(`${photo.field}_sha`, photo.sha);
  remember("looking", JSON.stringify({ id: record.id, action: record.action }));
  document.body.append(form);
  form.submit();
  return true;
}

function looking(action) {
  const before = JSON.parse(remembered("looking") || "null");
  return before && before.action === action ? before.id : null;
}

function show(where) {
  const target = new URL(where, location.href);
  if (target.pathname + target.search !== HERE) return location.assign(where);
  // Only the part behind the # may differ, which alone would not bring the page anew.
  history.replaceState(null, "", where);
  location.reload();
}

function buttons(form) {
  return [...form.elements].filter((element) => element.type === "submit");
}

function wentBack() {
  const entries = performance.getEntriesByType("navigation");
  return entries.length > 0 && entries[0].type === "back_forward";
}

function remember(key, value) {
  try {
    sessionStorage.setItem(key, value);
  } catch {
    // No store, no memory: a repeat is then something new.
  }
}

function remembered(key) {
  try {
    return sessionStorage.getItem(key);
  } catch {
    return null;
  }
}
