// Hanging points drawn as they are typed, from both sides. The laptop's own drawing takes the place of this once saved.
const NUMBER = /^([-−–]?)\s*(\d+)(?:[.,](\d+))?\s*(?:mm|°)?$/;
const WIDE = 320;
const TALL = 380;
const EDGE = 30;
const LEAST = 4;

export function start(page) {
  const box = page.querySelector("[data-plan]");
  const form = page.getElementById("form");
  const [width, height] = box.dataset.plan.split(" ").map(Number);
  let drawn = JSON.stringify(read(form, width));
  const show = () => {
    const points = read(form, width);
    // What has not changed stays as the laptop drew it.
    if (drawn === (drawn = JSON.stringify(points))) return;
    for (const side of box.querySelectorAll("[data-side]")) draw(side, points, width, height);
  };
  for (const event of ["input", "change", "draft"]) form.addEventListener(event, show);
  addEventListener("pageshow", show);
}

function read(form, width) {
  const back = form.elements.measured_from.value === "back" && width;
  return [...form.querySelectorAll(".line-row")].flatMap((row) => {
    const value = (name) => row.querySelector(`[name$="-${name}"]`).value.trim();
    const [x, y, hole, slot, turn] = ["x_mm", "y_mm", "hole_mm", "slot_mm", "slot_deg"].map((one) => number(value(one)));
    if (x === null || y === null) return [];
    return [{ label: value("label") || "?", x: back ? width - x : x, y, hole, slot, turn: back ? -turn : turn }];
  });
}

// Fractions and other units are drawn by the laptop.
function number(text) {
  const found = NUMBER.exec(text);
  return found ? Number(`${found[1] && "-"}${found[2]}.${found[3] ?? 0}`) : null;
}

function draw(side, points, width, height) {
  const turn = side.dataset.side === "back" ? (x) => width - x : (x) => x;
  const xs = [...points.map((one) => turn(one.x)), ...(width && height ? [0, width] : [])];
  const ys = [...points.map((one) => one.y), ...(width && height ? [0, height] : [])];
  if (!xs.length) return;
  const [left, low] = [Math.min(...xs), Math.min(...ys)];
  const scale = Math.min((WIDE - 2 * EDGE) / Math.max(Math.max(...xs) - left, 100), TALL / Math.max(Math.max(...ys) - low, 100));
  const tall = (Math.max(...ys) - low) * scale + 2 * EDGE;
  const at = (x, y) => [EDGE + (x - left) * scale, tall - EDGE - (y - low) * scale];
  const parts = [];
  const line = { fill: "none", stroke: "currentColor", "stroke-width": 1.3 };
  if (width && height) {
    const [x, y] = at(0, height);
    parts.push(make("rect", { x, y, width: width * scale, height: height * scale, ...line, "stroke-width": 2.2 }));
  }
  for (const one of points) {
    const [x, y] = at(turn(one.x), one.y);
    const r = Math.max((one.hole ?? 0) * scale / 2, LEAST);
    const long = one.slot ? r + Math.max(one.slot * scale / 2, LEAST) : r;
    const lean = turn(1) < turn(0) ? one.turn : -one.turn;
    parts.push(make("rect", { x: x - long, y: y - r, width: 2 * long, height: 2 * r, rx: r, transform: `rotate(${lean} ${x} ${y})`, ...line }));
    parts.push(make("path", { d: `M${x - r - 4} ${y}h${2 * r + 8}M${x} ${y - r - 4}v${2 * r + 8}`, ...line, "stroke-width": 0.8 }));
    const far = x > WIDE * 0.75;
    const text = make("text", { x: x + (far ? -r - 4 : r + 4), y: y - r - 3, "font-size": 16, "font-weight": 600, "text-anchor": far ? "end" : "start", fill: "currentColor" });
    text.textContent = one.label;
    parts.push(text);
  }
  const svg = side.querySelector("svg");
  svg.setAttribute("viewBox", `0 0 ${WIDE} ${tall}`);
  for (const old of [...svg.children]) if (!["title", "desc"].includes(old.localName)) old.remove();
  svg.append(...parts);
}

function make(name, attributes) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
}
