// What a build-up comes to while it is typed, and only the sizes that its making asks for. Only what is sent counts.
import { readNumber, shown } from "./numbers.js";
import { assemble, made, NEEDED } from "./trade/weight.js";

const SIZES = new Set(Object.values(NEEDED).flat());
const PLACES = ["x_mm", "y_mm", "z_mm"];

export function start(page) {
  const box = page.querySelector("[data-build-up]");
  const form = page.getElementById("form");
  const { wordsUnknown: unknown, wordsThick: thick, units } = box.dataset;
  const unitOf = JSON.parse(units);

  const show = () => {
    const lines = [...form.querySelectorAll(".line-row")].map((row) => line(row, unitOf, thick));
    const filled = lines.filter((one) => one.filled);
    const known = filled.filter((one) => one.kg);
    const all = whole(known);
    for (const one of lines) one.out.textContent = one.kg ? one.words : unknown;
    const out = { known: [all?.[0], 2], mass: [null, 2], x: [null, 0], y: [null, 0], z: [null, 0] };
    if (all && known.length === filled.length) ["mass", "x", "y", "z"].forEach((name, at) => (out[name][0] = all[at]));
    for (const at of box.querySelectorAll("[data-out]")) {
      const [value, places] = out[at.dataset.out];
      at.textContent = Number.isFinite(value) ? shown(value, places) : unknown;
    }
  };
  for (const event of ["input", "change", "draft"]) form.addEventListener(event, show);
  // A line that was added shows only what it asks for, too.
  new MutationObserver(show).observe(form.querySelector("[data-rows]"), { childList: true });
  addEventListener("pageshow", show);
  show();
}

function line(row, unitOf, thick) {
  const of = {};
  for (const input of row.querySelectorAll("input, select")) of[input.name.split("-")[2]] = input;
  const kind = of.made_as.value;
  for (const name of SIZES) {
    of[name].closest(".field").hidden = !(NEEDED[kind]?.includes(name) || of[name].value || name === "thickness_mm");
  }
  const read = {};
  for (const [name, unit] of Object.entries(unitOf)) read[name] = readNumber(of[name].value, unit);
  const filled = Object.values(of).some((input) => input.value.trim());
  const told = { filled, out: row.querySelector("[data-line-out]"), places: PLACES.map((name) => read[name]) };
  const [each, mm] = byItsSizes(kind, read) ?? [null, null];
  const kg = each === null ? read.mass_kg : each * (read.pieces ?? 1);
  const words = [`${shown(kg || 0, 2)} kg`, ...(mm ? [`${shown(mm, 2)} ${thick}`] : [])];
  return { ...told, kg, words: words.join(", ") };
}

// Null where sizes are missing or cannot be; the laptop says what is wrong with them.
function byItsSizes(kind, read) {
  try {
    return NEEDED[kind] ? made(kind, read) : null;
  } catch {
    return null;
  }
}

function whole(lines) {
  try {
    return assemble(lines.map((one) => [one.kg, ...one.places]));
  } catch {
    return null;
  }
}
