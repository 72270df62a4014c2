// What is typed but not sent yet, kept from one second to the next: a phone may end a page while its camera is open.
import * as kept from "./kept.js";
import { clockTime, say } from "./words.js";

const AFTER_MS = 500;
// Which state of things a form was made from. Brought back with the rest, so that the laptop can say what has changed.
const KNEW = new Set(["revises", "corrects", "stands"]);
const page = document.documentElement.dataset;
const timers = new Map();

export function key(form) {
  const where = form.dataset.draft || location.pathname + location.search;
  return `${page.laptop} ${page.person} ${where} ${form.id}`;
}

export function watch(form, problems, typed) {
  const later = () => {
    clearTimeout(timers.get(form));
    timers.set(form, setTimeout(() => put(form), AFTER_MS));
  };
  form.addEventListener("input", later);
  form.addEventListener("change", later);
  // What the laptop has just sent back is newer than any draft.
  if (!problems) bringBack(form).then((back) => back && typed()).catch(() => {});
}

export function stop(form) {
  clearTimeout(timers.get(form));
}

// The words beside each filled field, for showing a waiting form to a person.
export function shown(form, submitter) {
  const lines = [];
  for (const element of form.elements) {
    const unticked = ["checkbox", "radio"].includes(element.type) && !element.checked;
    if (!element.name || ["hidden", "file", "submit", "fieldset"].includes(element.type) || unticked) continue;
    const label = element.labels && element.labels[0] ? words(element.labels[0]) : "";
    const group = element.closest("fieldset");
    const legend = group && group.querySelector("legend") ? words(group.querySelector("legend")) : "";
    if (element.type === "radio" || element.type === "checkbox") lines.push([legend || label, label]);
    else if (element.options && element.value) lines.push([label, words(element.selectedOptions[0])]);
    else if (element.value.trim()) lines.push([label, element.value]);
  }
  if (submitter && submitter.name) lines.push([say("pressed"), words(submitter)]);
  return lines;
}

function words(element) {
  const copy = element.cloneNode(true);
  for (const extra of copy.querySelectorAll(".needed, input, select, textarea, svg")) extra.remove();
  return copy.textContent.replace(/\s+/g, " ").trim();
}

async function put(form) {
  if (form.inert) return;
  const fields = [];
  const files = [];
  for (const element of form.elements) {
    if (!element.name || ["submit", "fieldset", "password"].includes(element.type)) continue;
    if (element.type === "file") {
      for (const file of element.files) {
        files.push({ field: element.name, name: file.name, type: file.type, bytes: await file.arrayBuffer() });
      }
    } else if (element.type === "hidden") {
      if (KNEW.has(element.name)) fields.push([element.name, element.value, true]);
    } else if (["checkbox", "radio"].includes(element.type)) {
      fields.push([element.name, element.value, element.checked]);
    } else {
      fields.push([element.name, element.value, true]);
    }
  }
  if (form.inert) return;
  // Made empty again, it is no draft. No room for one is no news: the form itself is still on the page.
  if (![...form.elements].some(touched)) await kept.removeDraft(key(form)).catch(() => {});
  else await kept.putDraft({ key: key(form), made: Date.now(), fields, files }).catch(() => {});
}

async function bringBack(form) {
  const draft = await kept.draft(key(form));
  if (!draft || form.inert) return false;
  for (const [name, value, on] of draft.fields) {
    moreLines(form, name);
    for (const element of named(form, name)) {
      if (!["checkbox", "radio"].includes(element.type)) element.value = value;
      else if (element.value === value) element.checked = on;
    }
  }
  for (const input of form.querySelectorAll("input[type=file]")) {
    const files = draft.files.filter((file) => file.field === input.name);
    if (!files.length) continue;
    const transfer = new DataTransfer();
    for (const file of files) transfer.items.add(new File([file.bytes], file.name, { type: file.type }));
    input.files = transfer.files;
  }
  const note = document.getElementById("draft-note").content.firstElementChild.cloneNode(true);
  note.querySelector("[data-says]").textContent = say("broughtBack", { time: clockTime(draft.made) });
  note.querySelector("button").addEventListener("click", async () => {
    stop(form);
    await kept.removeDraft(key(form));
    location.reload();
  });
  form.before(note);
  for (const box of form.querySelectorAll("details")) {
    box.open ||= [...box.querySelectorAll("input, textarea, select")].some(touched);
  }
  form.dispatchEvent(new Event("draft", { bubbles: true }));
  return true;
}

// Whether a field says something else than it did when the page came.
function touched(element) {
  if (!element.name || element.type === "hidden") return false;
  if (element.type === "file") return element.files.length > 0;
  if (["checkbox", "radio"].includes(element.type)) return element.checked !== element.defaultChecked;
  if (element.options) return element.selectedIndex !== Math.max(0, [...element.options].findIndex((one) => one.defaultSelected));
  return "defaultValue" in element && element.value !== element.defaultValue;
}

function named(within, name) {
  return [...within.elements].filter((element) => element.name === name && element.type !== "file");
}

// Lines that were added to a list have names beyond those of the page.
function moreLines(form, name) {
  const list = name.match(/^(.+?)-\d+-/);
  if (!list || named(form, name).length) return;
  const more = form.querySelector(`[data-more][value="${CSS.escape(list[1])}"]`);
  for (let tries = 0; more && tries < 60 && !named(form, name).length; tries += 1) more.click();
}
