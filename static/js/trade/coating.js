// siteapp/trade/coating.py once more, for a page whose laptop is away; a test holds them equal.
import { surface, within } from "./range.js";

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

export function intervalHours(table, surfaceC) {
  const rows = table.map(([rowC, hours]) => [surface(rowC), within(hours, 0, 8760, true)]);
  rows.sort(([one], [two]) => one - two);
  if (rows.some(([rowC], at) => at && rowC === rows[at - 1][0])) throw new RangeError();
  within(surfaceC, rows[0]?.[0], rows[rows.length - 1]?.[0]);
  const [lowC, low] = rows.filter(([rowC]) => rowC <= surfaceC).pop();
  const [highC, high] = rows.find(([rowC]) => rowC >= surfaceC);
  if (lowC === highC) return low;
  return Math.exp(Math.log(low) + ((surfaceC - lowC) / (highC - lowC)) * (Math.log(high) - Math.log(low)));
}

function whole(parts) {
  const sum = parts.reduce((before, part) => before + within(part, 0, 1e4), 0);
  return within(sum, 0, Infinity, true);
}
