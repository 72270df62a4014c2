// What the climate form comes to, as the laptop would have it.
import { coatingClimate } from "./trade/climate.js";

const ERRORS = ["air_error_c", "humidity_error", "surface_error_c"];

export function climate(typed, box, form) {
  const read = { ...typed };
  for (const name of ERRORS) read[name] ??= 0;
  const found = coatingClimate(read, { ...typed, margin_c: typed.margin_limit_c ?? 3 });
  const unsure = ERRORS.some((name) => typed[name] === null);
  // As the laptop has it: what nobody named cannot be met.
  const unnamed = box.dataset.named.split(" ").some((name) => !form.elements[name].value.trim());
  const verdict = found.verdict === "met" && (unsure || unnamed) ? "cannot tell" : found.verdict;
  return { verdict, dew: [found.dewPointC, 1], margin: [found.marginC, 2], low: [unsure ? null : found.marginLowC, 2] };
}
