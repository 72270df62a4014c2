// Climate and mixes worked out on this phone, and what a choice from the list brings, with or without the laptop.
// Only what is sent counts.
import { readNumber, shown } from "./numbers.js";

const WORKS = { climate: "./away-climate.js", parts: "./away-mix.js", catalyst: "./away-mix.js" };

export function start(page) {
  for (const box of page.querySelectorAll("[data-away]")) {
    const form = box.closest("form") ?? page.getElementById("form");
    if (box.dataset.away === "wait") waitHere(form, box);
    else if (box.dataset.away === "listed") listed(form, box);
    else import(WORKS[box.dataset.away]).then((works) => watch(form, box, works[box.dataset.away]));
  }
}

// A choice from the workshop's list: what it holds goes into the form, and only its own tin is shown.
function listed(form, select) {
  const chosen = () => select.selectedOptions[0].dataset;
  const show = () => {
    for (const tin of form.querySelectorAll("[data-tin]")) tin.hidden = !(tin.open = tin.dataset.tin === chosen().about);
  };
  select.addEventListener("change", () => {
    for (const [name, text] of Object.entries(JSON.parse(chosen().brings ?? "{}"))) form.elements[name].value = text;
    form.dispatchEvent(new Event("input"));
  });
  for (const button of form.querySelectorAll("[data-bring]")) button.hidden = true;
  for (const event of ["change", "draft"]) form.addEventListener(event, show);
  addEventListener("pageshow", show);
  show();
}

// A coat that stays on this phone: its wait begins with the press, since the laptop may be away for hours.
function waitHere(form, box) {
  const later = import("./wait.js");
  const [unit, low, high] = JSON.parse(box.dataset.fields);
  form.addEventListener("submit", async () => {
    const hours = readNumber(form.elements.recoat_hours.value, unit);
    if (low <= hours && hours <= high) (await later).begin(box, hours);
  });
}

// Works out again whenever something is typed; where a figure cannot be read or lies beyond its limits, nothing stands.
function watch(form, box, work) {
  const show = () => {
    const typed = {};
    const beyond = [];
    for (const [name, [unit, low, high]] of Object.entries(JSON.parse(box.dataset.fields))) {
      const value = (typed[name] = readNumber(form.elements[name].value, unit));
      if (value !== null && !(low <= value && value <= high)) beyond.push(name);
    }
    let out = {};
    try {
      if (!beyond.length) out = work(typed, box, form);
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      beyond.push("");
    }
    for (const at of box.querySelectorAll("[data-out]")) {
      const [value, places] = out[at.dataset.out] ?? [null];
      at.textContent = value === null ? box.dataset.wordsUnknown : shown(value, places);
    }
    for (const mark of box.querySelectorAll("[data-verdict]")) mark.hidden = mark.dataset.verdict !== out.verdict;
    for (const note of box.querySelectorAll("[data-beyond]")) {
      note.hidden = note.dataset.beyond ? !beyond.includes(note.dataset.beyond) : !beyond.length;
    }
  };
  if (form.method === "get") form.addEventListener("submit", (event) => event.preventDefault());
  box.hidden = false;
  // `draft`: what was typed before was brought back.
  for (const event of ["input", "change", "draft"]) form.addEventListener(event, show);
  addEventListener("pageshow", show);
  show();
}
