// The list of what waits on this phone: read it, send it, look at it, take it away as a file, discard it.
import { phoneIsAhead } from "./clock.js";
import { look } from "./form.js";
import { fileOf } from "./handing.js";
import * as outbox from "./outbox.js";
import { clockTime, say } from "./words.js";

const CLOCK_OFF_MS = 120000;

export function start() {
  for (const box of document.querySelectorAll("main [data-waiting-list]")) new List(box);
}

export class List {
  constructor(box) {
    this.box = box;
    this.addresses = [];
    outbox.news.addEventListener("change", () => this.show());
    this.show();
  }

  async show() {
    const records = await outbox.all();
    const person = outbox.person();
    // What is as it was stays as it is, under the finger that is just about to press it.
    const now = JSON.stringify([person, outbox.now.away, records]);
    if (now === this.shown) return;
    this.shown = now;
    // What another person wrote is counted here and shown only to them.
    const own = records.filter((record) => person && record.person === person);
    const open = new Set([...this.box.querySelectorAll("details[open]")].map((one) => one.dataset.id));
    for (const address of this.addresses.splice(0)) URL.revokeObjectURL(address);
    const parts = [this.told(records, own, person)];
    for (const record of own) parts.push(await this.entry(record, open.has(record.id)));
    this.box.replaceChildren(...parts);
  }

  told(records, own, person) {
    const top = copy("waiting-top");
    const lines = [];
    const waiting = own.filter((record) => record.state !== "look").length;
    if (!records.length) lines.push(say("saved"));
    if (waiting) lines.push(say("waiting", { n: waiting }));
    if (records.length && outbox.now.away) lines.push(say("awayLong"), say("address", { host: location.host }));
    if (records.length && !person) lines.push(say("waiting", { n: records.length }), say("signInLong"));
    const others = records.filter((record) => person && record.person !== person);
    for (const name of new Set(others.map((record) => record.personName))) {
      lines.push(say("others", { name, n: others.filter((record) => record.personName === name).length }));
    }
    const minutes = Math.round(phoneIsAhead() / 60000);
    if (Math.abs(phoneIsAhead()) > CLOCK_OFF_MS) lines.push(say("clock", { minutes: Math.abs(minutes) }));
    top.querySelector("[data-says]").replaceChildren(...lines.map(paragraph));
    top.querySelector("[data-sign-in]").hidden = !records.length || Boolean(person);
    const send = top.querySelector("[data-send]");
    send.hidden = !waiting;
    send.addEventListener("click", () => outbox.push());
    const save = top.querySelector("[data-save]");
    save.hidden = !own.length;
    save.addEventListener("click", async () => download(await fileOf(own)));
    return top;
  }

  async entry(record, open) {
    const item = copy("waiting-entry");
    const details = item.querySelector("details");
    Object.assign(details, { open });
    details.dataset.id = record.id;
    item.dataset.state = record.state;
    item.querySelector("[data-title]").textContent = record.title;
    const day = new Date(record.made).toLocaleDateString();
    item.querySelector("[data-made]").textContent = `${day} ${clockTime(record.made)}`;
    item.querySelector("[data-why]").textContent = why(record);
    const facts = record.shown.map(([label, value]) => {
      const line = copy("waiting-fact");
      line.querySelector("dt").textContent = label;
      line.querySelector("dd").textContent = value;
      return line;
    });
    item.querySelector("[data-facts]").replaceChildren(...facts);
    const photos = item.querySelector("[data-photos]");
    for (const photo of record.photos) photos.append(await this.photo(record, photo));
    this.actions(item, record);
    return item;
  }

  async photo(record, photo) {
    const figure = copy("waiting-photo");
    const found = await outbox.photoBytes(record, photo.key);
    if (found) {
      const address = URL.createObjectURL(new Blob([found.bytes], { type: photo.type }));
      this.addresses.push(address);
      figure.querySelector("img").src = address;
    }
    figure.querySelector("[data-says]").textContent = photo.name;
    const without = figure.querySelector("button");
    without.hidden = !(photo.refused || !found);
    without.addEventListener("click", () => outbox.withoutPhoto(record.id, photo.key));
    return figure;
  }

  actions(item, record) {
    const on = (name, work) => item.querySelector(`[data-${name}]`).addEventListener("click", work);
    const lookAt = item.querySelector("[data-look]");
    lookAt.hidden = record.state !== "look" || record.photos.some((photo) => !photo.sha);
    lookAt.addEventListener("click", () => look(record));
    on("again", () => outbox.retry(record.id));
    on("save", async () => download(await fileOf([record])));
    const sure = item.querySelector("[data-sure]");
    on("discard", () => {
      sure.hidden = false;
      sure.querySelector("button").focus();
    });
    on("yes", () => outbox.discard(record.id));
    on("no", () => (sure.hidden = true));
  }
}

function why(record) {
  const hindrance = outbox.hindrance(record);
  const status = record.status && say(`status${record.status}`);
  if (hindrance === "look") return [status, record.message].filter(Boolean).join(" ");
  if (hindrance === "elsewhere") return say("elsewhere");
  if (hindrance === "sign-in") return say("signInLong");
  if (record.memory) return say("memory");
  return record.message || "";
}

function download(blob) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = `${new Date().toISOString().slice(0, 16).replace(/[:T]/g, "-")}.waiting`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

function paragraph(text) {
  const element = document.createElement("p");
  element.textContent = text;
  return element;
}

function copy(name) {
  return document.getElementById(name).content.firstElementChild.cloneNode(true);
}
