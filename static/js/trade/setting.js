// Part of siteapp/trade/setting.py once more, for a page whose laptop is away; a test holds them equal.
import { within } from "./range.js";

// Minutes until an anchor may first carry, by rows [°C, minutes] of its sheet; null where the table does not say.
export function curingMinutes(rows, wallC) {
  const sorted = rows.map(([rowC, minutes]) => [within(rowC, -40, 80), within(minutes, 0, 43200, true)]).sort((a, b) => a[0] - b[0]);
  sorted.slice(1).forEach(([rowC, minutes], at) => {
    if (rowC === sorted[at][0] || minutes > sorted[at][1]) throw new RangeError();
  });
  within(wallC, -40, 80);
  if (!sorted.length || wallC < sorted[0][0] || wallC > sorted.at(-1)[0]) return null;
  return sorted.filter(([rowC]) => rowC <= wallC).at(-1)[1];
}
