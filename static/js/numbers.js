// Numbers as people type them and as pages show them.
// What a unit is worth in the one asked for: (typed · first + second) / third, whole numbers, so that nothing is lost.
const SAME = [1, 0, 1];
const F = [5, -160, 9];
const WORTH = {
  "°C": { "°c": SAME, c: SAME, "°f": F, f: F, k: [100, -27315, 100] },
  g: { kg: [1000, 0, 1] },
  h: { min: [1, 0, 60] },
  mm: { cm: [10, 0, 1], m: [1000, 0, 1], in: [127, 0, 5] },
  kg: { g: [1, 0, 1000] },
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

export function shown(value, places) {
  const rounded = Number(value.toFixed(places)) + 0;
  return rounded.toLocaleString("en", { maximumFractionDigits: places }).replaceAll(",", "\u202f");
}
