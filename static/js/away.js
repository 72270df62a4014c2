// Climate and mixes worked out on this phone, and what a choice from the list brings, with or without the laptop.
// Only what is sent counts.
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

function shown(value, places) {
  const rounded = Number(value.toFixed(places)) + 0;
  return rounded.toLocaleString("en", { maximumFractionDigits: places }).replaceAll(",", "\u202f");
}

// What a unit is worth in the one asked for: (typed · first + second) / third, whole numbers, so that nothing is lost.
const SAME = [1, 0, 1];
const F = [5, -160, 9];
const WORTH = {
  "°C": { "°c": SAME, c: SAME, "°f": F, f: F, k: [100, -27315, 100] },
  g: { kg: [1000, 0, 1] },
  h: { min: [1, 0, 60] },
};
const NUMBER = /^([-+]?) ?(\d{1,3}(?: \d{3})+|\d*)(?:[.,](\d*))? ?(°?[a-z%/]*)$/i;

// A number as the laptop reads it: null for nothing, undefined for what only the laptop can read, or nobody.
export function readNumber(text, unit) {
  const plain = text.replace(/[ \t\u00a0\u2009\u202f]+/g, " ").replace(/^ | $/g, "").replace(/[−–]/g, "-");
  if (!plain) return null;
  const [, sign, whole, part = "", typed] = NUMBER.exec(plain) ?? [];
  // `1,234` is read in two ways.
  if (text.length > 60 || !(whole || part) || /^([-+] ?)?[1-9]\d{0,2},\d{3}(?!\d)/.test(plain)) return undefined;
  const name = typed.toLowerCase();
  const worth = !name || name === unit.toLowerCase() ? SAME : WORTH[unit]?.[name];
  if (!worth) return undefined;
  const shift = Number(`1e${part.length}`);
  const over = Number(`${sign}${whole.replaceAll(" ", "")}${part}`) * worth[0] + worth[1] * shift;
  const under = worth[2] * shift;
  return Number.isSafeInteger(over) && Number.isSafeInteger(under) ? over / under : undefined;
}
