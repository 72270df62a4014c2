// siteapp/trade/climate.py and coating.py once more, for a page whose laptop is away; a test holds them equal.
// Null is what was not read or is not given; what cannot be is a RangeError.
const given = (value) => value !== null && value !== undefined;
const density = (value) => within(value, 0.1, 10);
const surface = (value) => within(value, -40, 120);

export function dewPointC(airC, relativeHumidity) {
  const humidity = within(relativeHumidity, 0, 100, true);
  return magnus(within(airC, -40, 50), humidity);
}

// `read`: air_c, relative_humidity, surface_c and their errors; `limits`: the data sheet's, or null.
export function coatingClimate(read, limits) {
  const { air_c: air, relative_humidity: humidity, surface_c: wall } = read;
  const { air_error_c: airError = 0.5, humidity_error: humidityError = 3, surface_error_c: wallError = 2 } = read;
  for (const [error, most] of [[airError, 10], [humidityError, 50], [wallError, 20]]) within(error, 0, most);
  if (given(air)) within(air, -40, 50);
  if (given(humidity)) within(humidity, 0, 100, true);
  if (given(wall)) surface(wall);
  const wantedMarginC = Math.max(3, within(limits?.margin_c ?? 3, 0, 30));
  let [dewPointC, marginC, marginLowC] = [null, null, null];
  if (given(air) && given(humidity)) {
    dewPointC = magnus(air, humidity);
    if (given(wall)) {
      marginC = wall - dewPointC;
      // Warmer and damper air has the higher dew point.
      marginLowC = wall - wallError - magnus(air + airError, Math.min(humidity + humidityError, 100));
    }
  }
  let rank = marginC === null ? 1 : marginC < wantedMarginC ? 2 : marginLowC < wantedMarginC ? 1 : 0;
  // `end`: what no error passes, of humidity alone, whose lowest a data sheet need not name.
  const hold = (value, error, low, high, least, most, end) => {
    if (given(low)) within(low, least, most);
    if (given(high)) within(high, given(low) ? low : least, most);
    const [from, to] = [low ?? -Infinity, high ?? Infinity];
    if (given(value) && (value < from || value > to)) rank = 2;
    const near = value - error < from || Math.min(value + error, end ?? Infinity) > to;
    if (near || !given(value) || !given(high) || !(given(low) || end)) rank ||= 1;
  };
  if (limits) {
    hold(air, airError, limits.air_min_c, limits.air_max_c, -40, 120);
    hold(wall, wallError, limits.surface_min_c, limits.surface_max_c, -40, 120);
    hold(humidity, humidityError, limits.humidity_min, limits.humidity_max, 0, 100, 100);
  } else rank ||= 1;
  return { dewPointC, marginC, marginLowC, wantedMarginC, verdict: ["met", "cannot tell", "not met"][rank] };
}

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
  const rows = table.map(([rowC, hours]) => [surface(rowC), within(hours, 0, 8760, true)]).sort(([one], [two]) => one - two);
  if (rows.some(([rowC], at) => at && rowC === rows[at - 1][0])) throw new RangeError();
  within(surfaceC, rows[0]?.[0], rows[rows.length - 1]?.[0]);
  const [lowC, low] = rows.filter(([rowC]) => rowC <= surfaceC).pop();
  const [highC, high] = rows.find(([rowC]) => rowC >= surfaceC);
  if (lowC === highC) return low;
  return Math.exp(Math.log(low) + ((surfaceC - lowC) / (highC - lowC)) * (Math.log(high) - Math.log(low)));
}

function within(value, low, high, above = false) {
  if (typeof value === "number" && (above ? low < value : low <= value) && value <= high) return value;
  throw new RangeError();
}

function magnus(airC, humidity) {
  const gamma = Math.log(humidity) - Math.log(100) + (17.625 * airC) / (243.04 + airC);
  return (243.04 * gamma) / (17.625 - gamma);
}

function whole(parts) {
  const sum = parts.reduce((before, part) => before + within(part, 0, 1e4), 0);
  return within(sum, 0, Infinity, true);
}
