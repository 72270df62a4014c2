// siteapp/trade/made_as.py, and what it needs of by_size.py and weight.py, once more; a test holds them equal.
import { within } from "./range.js";

const STEEL = ["plate", "round bar", "round tube", "square tube"];
export const NEEDED = {
  laminate: ["area_m2", "glass_g_m2", "glass_fraction"],
  film: ["area_m2", "film_um", "density_kg_m3"],
  block: ["length_mm", "width_mm", "height_mm", "density_kg_m3"],
  plate: ["length_mm", "width_mm", "thickness_mm", "density_kg_m3"],
  "round bar": ["length_mm", "width_mm", "density_kg_m3"],
  "round tube": ["length_mm", "width_mm", "thickness_mm", "density_kg_m3"],
  "square tube": ["length_mm", "width_mm", "height_mm", "thickness_mm", "density_kg_m3"],
};

// Mass in kg and thickness in mm of one piece; null while a size is missing.
export function made(madeAs, sizes) {
  const steel = STEEL.includes(madeAs) ? 7850 : null;
  const given = NEEDED[madeAs].map((name) => sizes[name] ?? (name === "density_kg_m3" ? steel : null));
  if (given.includes(null)) return null;
  if (madeAs === "laminate") {
    const glass = within(given[1], 0, 5e4, true) / 1000;
    const share = within(given[2], 0.05, 0.95);
    return [area(given[0]) * (glass / share), glass * (1000 / 2560 + (((1 - share) / share) * 1000) / 1200)];
  }
  if (madeAs === "film") {
    const film = within(given[1], 0, 5e4, true);
    return [area(given[0]) * ((film * within(given[2], 100, 25000)) / 1e6), film / 1000];
  }
  const density = within(given.pop(), 5, 25000) / 1e9;
  const [length, wide] = given.map((size) => within(size, 0, 2e4, true));
  if (madeAs === "round bar") return [(Math.PI / 4) * wide ** 2 * length * density, null];
  const last = given[given.length - 1];
  if (madeAs === "round tube") {
    return [Math.PI * (wide - wall(last, wide)) * last * length * density, null];
  }
  if (madeAs === "square tube") {
    const face = 2 * wall(last, Math.min(wide, given[2])) * (wide + given[2] - 2 * last);
    return [face * length * density, null];
  }
  return [length * wide * last * density, null];
}

// Mass and place of parts, each [kg, x, y, z]; null for a place that is not known of each.
export function assemble(parts) {
  let mass = 0;
  const sums = [0, 0, 0];
  for (const [kg, ...places] of parts) {
    mass += within(kg, 0, 5000, true);
    places.forEach((place, at) => {
      const moment = place === null ? null : kg * within(place, -2e4, 2e4);
      sums[at] = moment === null || sums[at] === null ? null : sums[at] + moment;
    });
  }
  return [within(mass, 0, Infinity, true), ...sums.map((sum) => (sum === null ? null : sum / mass))];
}

function area(value) {
  return within(value, 0, 1000, true);
}

function wall(value, wide) {
  return within(value, 0, wide / 2, true);
}
