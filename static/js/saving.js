// The quiet line about saving. It tells what is so: on the laptop, on this phone, or nowhere yet.
import * as outbox from "./outbox.js";
import { say as words } from "./words.js";

const page = document.documentElement.dataset;
const line = document.querySelector("[data-saving]");
let unsaved = Boolean(line && line.dataset.state === "typing");
// Fetched with the page, since it is wanted when the laptop is out of reach.
let list = null;
let panel = null;
let turn = 0;
let said = null;

export function start() {
  if (!line) return;
  fetchList();
  for (const kind of ["change", "progress"]) outbox.news.addEventListener(kind, () => show());
  show();
}

// Whether something on this page is typed and not yet kept.
export function typing(is) {
  unsaved = is;
  show();
}

export function keeping() {
  put("keeping", [words("keeping")]);
}

async function show() {
  if (!line) return;
  const mine = (turn += 1);
  const records = await outbox.all();
  if (mine !== turn) return;
  const person = outbox.person();
  const own = records.filter((record) => !person || record.person === person);
  const look = own.filter((record) => record.state === "look").length;
  const waiting = own.length - look;
  const parts = [];
  let state = "saved";
  if (look) parts.push(words("look", { n: look }));
  if (waiting) parts.unshift(words("waiting", { n: waiting }));
  if (waiting && outbox.now.progress) parts.push(progress());
  if (own.some((record) => record.memory)) parts.push(words("memory"));
  if (waiting && outbox.now.away) parts.push(words("away"));
  if (waiting && !person) parts.push(words("signIn"));
  if (unsaved) parts.push(words("typing"));
  if (unsaved) state = "typing";
  if (waiting) state = outbox.now.away ? "waiting" : person ? "sending" : "sign-in";
  if (look) state = "look";
  if (own.some((record) => record.memory)) state = "memory";
  for (const [name, n] of others(records, person)) parts.push(words("others", { n, name }));
  if (!parts.length) parts.push(words("saved"));
  put(state, parts, records.length > 0);
}

function others(records, person) {
  const counts = new Map();
  for (const record of records) {
    if (person && record.person !== person) counts.set(record.personName, (counts.get(record.personName) || 0) + 1);
  }
  return counts;
}

function progress() {
  const { place, count, share } = outbox.now.progress;
  return words("photo", { place, count, percent: Math.floor(share * 100) });
}

function put(state, parts, opens = false) {
  line.hidden = !page.person && state === "saved" && !opens;
  line.dataset.state = state;
  const text = parts.join(" · ");
  // What stands there at first may be words for pages without scripts, which are there and not shown.
  if (said !== text) line.textContent = said = text;
  const box = line.parentElement;
  let button = box.querySelector("[data-open-waiting]");
  if (opens && !button) {
    button = document.getElementById("waiting-button").content.firstElementChild.cloneNode(true);
    button.addEventListener("click", openPanel);
    line.after(button);
  } else if (!opens && button) {
    button.remove();
  }
}

function fetchList() {
  list = import("./waiting.js").catch(() => null);
}

async function openPanel() {
  const module = await list;
  if (!module) return fetchList();
  if (!panel) {
    panel = document.getElementById("waiting-panel").content.firstElementChild.cloneNode(true);
    document.body.append(panel);
    panel.querySelector("[data-close]").addEventListener("click", () => panel.close());
    new module.List(panel.querySelector("[data-waiting-list]"));
  }
  panel.showModal();
}
