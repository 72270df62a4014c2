// What a page works out by itself while the laptop is away: siteapp/trade/climate.py and coating.py again, with their
// limits. A test holds the two equal. Null is what was not read or not given; what cannot be is a RangeError.

export function dewPointC(airC, relativeHumidity) {
  air(airC);
  humid(relativeHumidity);
  return magnus(airC, relativeHumidity);
}

// `read`: air_c, relative_humidity, surface_c and the three errors; `limits`: those of the data sheet, or null.
export function coatingClimate(read, limits) {
  const r = { air_error_c: 0.5, humidity_error: 3, surface_error_c: 2, ...read };
  within("air error", r.air_error_c, 0, 10);
  within("humidity error", r.humidity_error, 0, 50);
  within("surface error", r.surface_error_c, 0, 20);
  if (given(r.air_c)) air(r.air_c);
  if (given(r.relative_humidity)) humid(r.relative_humidity);
  if (given(r.surface_c)) surface(r.surface_c);
  if (limits) possible(limits);
  const wanted = Math.max(3, limits?.margin_c ?? 3);
  const found = { dewPointC: null, marginC: null, marginLowC: null, wantedMarginC: wanted };
  if (given(r.air_c) && given(r.relative_humidity)) {
    found.dewPointC = magnus(r.air_c, r.relative_humidity);
    if (given(r.surface_c)) {
      // Warmer and damper air has the higher dew point.
      const high = magnus(r.air_c + r.air_error_c, Math.min(r.relative_humidity + r.humidity_error, 100));
      found.marginC = r.surface_c - found.dewPointC;
      found.marginLowC = r.surface_c - r.surface_error_c - high;
    }
  }
  let worst = limits ? MET : CANNOT_TELL;
  const note = (verdict) => (worst = Math.max(worst, verdict));
  if (found.marginC === null) note(CANNOT_TELL);
  else if (found.marginC < wanted) note(NOT_MET);
  else if (found.marginLowC < wanted) note(CANNOT_TELL);
  if (limits) {
    note(held(r.air_c, r.air_error_c, limits.air_min_c, limits.air_max_c, Infinity));
    note(held(r.surface_c, r.surface_error_c, limits.surface_min_c, limits.surface_max_c, Infinity));
    // A data sheet may name no lowest humidity; no error reads more than 100 %.
    note(held(r.relative_humidity, r.humidity_error, limits.humidity_min ?? -Infinity, limits.humidity_max, 100));
  }
  return { ...found, verdict: WORDS[worst] };
}

// Parts in order, as arrays.
export function mixByMass(totalG, parts) {
  within("total", totalG, 0, 1e6, true);
  const sum = whole(parts);
  return parts.map((part) => totalG * (part / sum));
}

export function partsByMass(partsByVolume, densities) {
  whole(partsByVolume);
  return partsByVolume.map((part, at) => part * density(densities[at]));
}

export function catalystG(resinG, percent) {
  within("resin", resinG, 0, 1e6, true);
  return (resinG * within("catalyst", percent, 1, 4)) / 100;
}

export function catalyst(resinG, percent, densityGMl) {
  const grams = catalystG(resinG, percent);
  return [grams, grams / density(densityGMl)];
}

export function intervalHours(table, surfaceC) {
  const rows = table.map(([rowC, hours]) => [surface(rowC), within("hours", hours, 0, 8760, true)]);
  rows.sort((one, other) => one[0] - other[0]);
  if (!rows.length || rows.some((row, at) => at && row[0] === rows[at - 1][0])) throw new RangeError("table");
  within("surface", surfaceC, rows[0][0], rows[rows.length - 1][0]);
  const [lowC, low] = rows.filter((row) => row[0] <= surfaceC).pop();
  const [highC, high] = rows.find((row) => row[0] >= surfaceC);
  if (lowC === highC) return low;
  return Math.exp(Math.log(low) + ((surfaceC - lowC) / (highC - lowC)) * (Math.log(high) - Math.log(low)));
}

const [MET, CANNOT_TELL, NOT_MET] = [0, 1, 2];
const WORDS = ["met", "cannot tell", "not met"];
const given = (value) => value !== null && value !== undefined;
const air = (value) => within("air", value, -40, 50);
const surface = (value) => within("surface", value, -40, 120);
const humid = (value) => within("humidity", value, 0, 100, true);
const density = (value) => within("density", value, 0.1, 10);

function within(what, value, low, high, aboveLow = false) {
  if (typeof value === "number" && (aboveLow ? low < value : low <= value) && value <= high) return value;
  throw new RangeError(what);
}

function magnus(airC, relativeHumidity) {
  const gamma = Math.log(relativeHumidity) - Math.log(100) + (17.625 * airC) / (243.04 + airC);
  return (243.04 * gamma) / (17.625 - gamma);
}

function possible(limits) {
  for (const [what, least, most] of [["air", -40, 120], ["surface", -40, 120], ["humidity", 0, 100]]) {
    const unit = what === "humidity" ? "" : "_c";
    const low = limits[`${what}_min${unit}`];
    const high = limits[`${what}_max${unit}`];
    if (given(low)) within(what, low, least, most);
    if (given(high)) within(what, high, given(low) ? low : least, most);
  }
  within("margin", limits.margin_c ?? 3, 0, 30);
}

function held(value, error, low, high, most) {
  if (given(value) && ((given(low) && value < low) || (given(high) && value > high))) return NOT_MET;
  if (!given(value) || !given(low) || !given(high)) return CANNOT_TELL;
  return value - error < low || Math.min(value + error, most) > high ? CANNOT_TELL : MET;
}

function whole(parts) {
  const sum = parts.reduce((before, part) => before + within("part", part, 0, 1e4), 0);
  if (sum > 0) return sum;
  throw new RangeError("parts");
}
