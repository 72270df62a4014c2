// Climate, mixes and waits worked out on this phone, with or without the laptop. Only what is sent counts.
import { laptopNow } from "./clock.js";
import { catalyst, catalystG, coatingClimate, mixByMass, partsByMass } from "./trade.js";

const ERRORS = ["air_error_c", "humidity_error", "surface_error_c"];
const PARTS = ["a", "b", "thinner"];
const TITLE = document.title;

export function start(page) {
  for (const box of page.querySelectorAll("[data-away]")) ({ climate, mix, wait })[box.dataset.away](box);
}

function climate(box) {
  const form = box.closest("form");
  onInput(form, box, (typed) => {
    const read = { ...typed };
    for (const name of ERRORS) read[name] ??= 0;
    const found = coatingClimate(read, { ...typed, margin_c: typed.margin_limit_c ?? 3 });
    const unsure = ERRORS.some((name) => typed[name] === null);
    // As the laptop has it: what nobody named cannot be met.
    const unnamed = box.dataset.named.split(" ").some((name) => !form.elements[name].value.trim());
    const met = found.verdict === "met" && !unsure && !unnamed;
    return {
      dew: [found.dewPointC, 1],
      margin: [found.marginC, 2],
      low: [unsure ? null : found.marginLowC, 2],
      verdict: met || found.verdict === "not met" ? found.verdict : "cannot tell",
    };
  });
}

function mix(form) {
  form.addEventListener("submit", (event) => event.preventDefault());
  onInput(form, form, (typed) => {
    const out = {};
    const parts = PARTS.map((name) => typed[`part_${name}`] ?? 0);
    const densities = PARTS.map((name) => typed[`density_${name}`] ?? (typed[`part_${name}`] ? null : 1));
    const byVolume = form.elements.by.value === "volume";
    const dense = densities.every((one) => one !== null);
    if (typed.total_g !== null && typed.part_a && typed.part_b && (dense || !byVolume)) {
      let scale = 0;
      mixByMass(typed.total_g, byVolume ? partsByMass(parts, densities) : parts).forEach((grams, at) => {
        scale += grams;
        out[`grams_${PARTS[at]}`] = [grams, 1];
        out[`scale_${PARTS[at]}`] = [scale, 1];
      });
    }
    const { resin_g: resin, catalyst_percent: percent, catalyst_density: density } = typed;
    if (resin !== null && percent !== null) {
      out.catalyst_g = [catalystG(resin, percent), 1];
      if (density !== null) out.catalyst_ml = [catalyst(resin, percent, density)[1], 1];
    }
    return out;
  });
}

// Works out again whenever something is typed; what cannot be read or lies outside its limits leaves nothing standing.
function onInput(form, box, work) {
  const fields = JSON.parse(box.dataset.fields);
  const show = () => {
    const typed = {};
    const beyond = new Set();
    for (const [name, [unit, low, high]] of Object.entries(fields)) {
      const value = readNumber(form.elements[name].value, unit);
      typed[name] = value;
      if (value === undefined || (value !== null && !(low <= value && value <= high))) beyond.add(name);
    }
    let out = {};
    let unread = beyond.size > 0;
    try {
      if (!unread) out = work(typed);
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      unread = true;
    }
    for (const at of box.querySelectorAll("[data-out]")) {
      const [value, places] = out[at.dataset.out] ?? [null];
      at.textContent = value === null ? box.dataset.wordsUnknown : shown(value, places);
    }
    for (const mark of box.querySelectorAll("[data-verdict]")) mark.hidden = mark.dataset.verdict !== out.verdict;
    for (const note of box.querySelectorAll("[data-beyond]")) {
      note.hidden = !(note.dataset.beyond ? beyond.has(note.dataset.beyond) : unread);
    }
  };
  box.hidden = false;
  form.addEventListener("input", show);
  show();
}

function shown(value, places) {
  const rounded = Number(value.toFixed(places)) + 0;
  return rounded.toLocaleString("en", { maximumFractionDigits: places }).replaceAll(",", "\u202f");
}

// What a unit is worth in the one asked for: (typed · first + second) / third, whole numbers, so that nothing is lost.
const SAME = [1, 0, 1];
const WORTH = {
  "°C": { "°c": SAME, c: SAME, degc: SAME, "°f": [5, -160, 9], f: [5, -160, 9], degf: [5, -160, 9], k: [100, -27315, 100] },
  "%": { "%rh": SAME, percent: SAME },
  g: { kg: [1000, 0, 1], lb: [45359237, 0, 1e5], lbs: [45359237, 0, 1e5], oz: [45359237, 0, 16e5] },
};
const NUMBER = /^([-+]?) ?(\d{1,3}(?: \d{3})+|\d*)(?:[.,](\d*))? ?(°?[a-z%/]*)$/i;

// A number as the laptop reads it: null for nothing, undefined for what only the laptop can read or nobody can.
export function readNumber(text, unit) {
  const plain = text.replace(/[ \t\u00a0\u2009\u202f]+/g, " ").replace(/^ | $/g, "").replace(/[−–]/g, "-");
  if (!plain) return null;
  const [found, sign, whole, part = "", typed] = NUMBER.exec(plain) ?? [];
  if (!found || text.length > 60 || !(whole + part)) return undefined;
  // Read in two ways: one thousand and something, or one and a fraction.
  if (/^[1-9]\d{0,2},\d{3}(?!\d)/.test(plain.replace(/^[-+] ?/, ""))) return undefined;
  const name = typed.toLowerCase();
  const worth = !name || name === unit.toLowerCase() ? SAME : WORTH[unit]?.[name];
  if (!worth) return undefined;
  const shift = Number(`1e${part.length}`);
  const over = Number(`${sign}${whole.replaceAll(" ", "")}${part}`) * worth[0] + worth[1] * shift;
  const under = worth[2] * shift;
  return Number.isSafeInteger(over) && Number.isSafeInteger(under) ? over / under : undefined;
}

// "Not before": counts down by the laptop's clock, also after sleep and reload, and says when the time is over.
function wait(box) {
  const until = Date.parse(box.dataset.notBefore);
  const key = `siteapp not before ${box.dataset.notBefore}`;
  const [pending, over, left, ring, ringing, alarm, words] = [
    "pending", "over", "left", "ring", "ringing", "alarm", "alarm-words",
  ].map((name) => box.querySelector(`[data-${name}]`));
  let waited = store("getItem", key);
  let sound = null;

  const tick = () => {
    const ms = until - laptopNow();
    pending.hidden = ms <= 0;
    over.hidden = ms > 0;
    if (ms > 0) {
      left.textContent = countdown(ms);
      if (!waited) store("setItem", key, "1");
      waited = true;
    } else if (waited) {
      // Once, and only where somebody saw it count.
      waited = false;
      store("removeItem", key);
      alarm.replaceChildren(words.content.cloneNode(true));
      document.title = `${box.dataset.wordsTitle} – ${TITLE}`;
      navigator.vibrate?.([400, 200, 400, 200, 400]);
      if (sound) beep(sound, 8);
    }
  };
  ring.hidden = !window.AudioContext;
  ring.addEventListener("click", () => {
    // Browsers sound only after a tap, so it is tried out at once.
    sound = new AudioContext();
    sound.resume();
    beep(sound, 1);
    ring.hidden = true;
    ringing.hidden = false;
  });
  setInterval(tick, 1000);
  document.addEventListener("visibilitychange", tick);
  addEventListener("pageshow", tick);
  tick();
}

function countdown(ms) {
  const seconds = Math.ceil(ms / 1000);
  const two = (number) => String(Math.floor(number) % 60).padStart(2, "0");
  return `${Math.floor(seconds / 3600)}:${two(seconds / 60)}:${two(seconds)}`;
}

function beep(sound, times) {
  for (let at = 0; at < times; at += 1) {
    const tone = sound.createOscillator();
    tone.frequency.value = 880;
    tone.connect(sound.destination);
    tone.start(sound.currentTime + at * 0.5);
    tone.stop(sound.currentTime + at * 0.5 + 0.25);
  }
}

function store(act, ...given) {
  try {
    return localStorage[act](...given);
  } catch {
    return null; // No store: it still counts while the page is open.
  }
}
