// siteapp/trade/coating.py once more, for a page whose laptop is away; a test holds them equal.
import { within } from "./range.js";

const density = (value) => within(value, 0.1, 10);

// Parts in order, as arrays.
export function mixByMass(totalG, parts) {
  within(totalG, 0, 1e6, true);
  const sum = whole(parts);
  return parts.map((part) => totalG * (part / sum));
}

export function partsByMass(partsByVolume, densities) {
  whole(partsByVolume);
  return partsByVolume.map((part, at) => part * density(densities[at]));
}

export function catalystG(resinG, percent) {
  return (within(resinG, 0, 1e6, true) * within(percent, 1, 4)) / 100;
}

export function catalyst(resinG, percent, densityGMl) {
  const grams = catalystG(resinG, percent);
  return [grams, grams / density(densityGMl)];
}

function whole(parts) {
  const sum = parts.reduce((before, part) => before + within(part, 0, 1e4), 0);
  return within(sum, 0, Infinity, true);
}
