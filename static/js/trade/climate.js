// siteapp/trade/climate.py once more, for a page whose laptop is away; a test holds them equal.
// Null is what was not read or is not given.
import { within } from "./range.js";

const given = (value) => value !== null && value !== undefined;

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
  if (given(wall)) within(wall, -40, 120);
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
    const film = limits.film_min_c;
    if (given(film) && given(wall)) rank = wall < within(film, -40, 120) ? 2 : wall - wallError < film ? rank || 1 : rank;
    else if (given(film)) within(film, -40, 120);
  } else rank ||= 1;
  return { dewPointC, marginC, marginLowC, wantedMarginC, verdict: ["met", "cannot tell", "not met"][rank] };
}

function magnus(airC, humidity) {
  const gamma = Math.log(humidity) - Math.log(100) + (17.625 * airC) / (243.04 + airC);
  return (243.04 * gamma) / (17.625 - gamma);
}
