// What goes into a cup, as the laptop would have it.
import { catalyst as inGramsAndMl, catalystG, mixByMass, partsByMass } from "./trade/coating.js";

const PARTS = ["a", "b", "thinner"];

export function parts(typed, _box, form) {
  const out = {};
  const given = PARTS.map((name) => typed[`part_${name}`] ?? 0);
  const densities = PARTS.map((name, at) => typed[`density_${name}`] ?? (given[at] ? null : 1));
  const byVolume = form.elements.by.value === "volume";
  if (typed.total_g === null || !given[0] || !given[1] || (byVolume && densities.includes(null))) return out;
  let scale = 0;
  mixByMass(typed.total_g, byVolume ? partsByMass(given, densities) : given).forEach((grams, at) => {
    out[`grams_${PARTS[at]}`] = [grams, 1];
    out[`scale_${PARTS[at]}`] = [(scale += grams), 1];
  });
  return out;
}

export function catalyst({ resin_g: resin, catalyst_percent: percent, catalyst_density: density }) {
  if (resin === null || percent === null) return {};
  const ml = density === null ? null : inGramsAndMl(resin, percent, density)[1];
  return { catalyst_g: [catalystG(resin, percent), 1], catalyst_ml: [ml, 1] };
}
