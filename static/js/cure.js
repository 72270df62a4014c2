// An anchor that stays on this phone: its curing begins with the press, since the laptop may be away for hours.
import { laptopNow } from "./clock.js";
import { curingMinutes } from "./trade/setting.js";
import { begin } from "./wait.js";

const read = (text) => (/^[-+−]?\d+([.,]\d+)?$/.test(text) ? Number(text.replace(",", ".").replace("−", "-")) : NaN);
const ROW = /^([-+−]?\d+(?:[.,]\d+)?)\s*(?:°\s*c)?\s*(?:[:;=]|\s)\s*(\d+(?:[.,]\d+)?)\s*(min|h)?$/i;

export function start(page) {
  const box = page.querySelector("[data-cure]");
  const form = page.getElementById("form");
  const { anchor_kind: kind, wall_c: wall, curing, set_at: setAt } = form.elements;
  form.addEventListener("submit", () => {
    if (kind.value === "expansion" || kind.value === "screw") return;
    const lines = curing.value.split("\n").filter((line) => line.trim());
    const rows = lines.map((line) => ROW.exec(line.trim())).map((row) => row && [read(row[1]), read(row[2]) * (row[3]?.toLowerCase() === "h" ? 60 : 1)]);
    if (rows.includes(null)) return;
    let minutes = null;
    try {
      minutes = curingMinutes(rows, read(wall.value.trim()));
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
    }
    const now = laptopNow();
    const from = setAt.value ? Date.parse(setAt.value) : now;
    if (minutes !== null && !Number.isNaN(from)) begin(box, minutes / 60 - (now - from) / 3600e3);
  });
}
