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
    for (const words of page.querySelectorAll("[data-mirror]")) words.hidden = true;
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
    return { label: value("label") || "?", x: back ? width - x : x, y, hole, slot, turn: back ? -turn : turn };
  });
}

// Fractions and other units are drawn by the laptop.
function number(text) {
  const found = NUMBER.exec(text);
  return found && Number(`${found[1] && "-"}${found[2]}.${found[3] ?? 0}`);
}

function draw(side, points, width, height) {
  const back = side.dataset.side === "back";
  const outline = width && height ? [[0, 0], [width, height]] : [];
  const places = [...outline, ...points.map((one) => [back ? width - one.x : one.x, one.y])];
  if (!places.length) return;
  const [xs, ys] = [0, 1].map((axis) => places.map((place) => place[axis]));
  const [left, low, right, high] = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
  const scale = Math.min((WIDE - 2 * EDGE) / Math.max(right - left, 100), TALL / Math.max(high - low, 100));
  const tall = (high - low) * scale + 2 * EDGE;
  const at = ([x, y]) => [EDGE + (x - left) * scale, tall - EDGE - (y - low) * scale];
  const parts = [];
  if (outline.length) {
    const [x, y] = at([0, height]);
    parts.push(line("rect", 2.2, { x, y, width: width * scale, height: height * scale }));
  }
  points.forEach((one, number) => {
    const [x, y] = at(places[outline.length + number]);
    const r = Math.max(one.hole * scale / 2, LEAST);
    const long = r + (one.slot && Math.max(one.slot * scale / 2, LEAST));
    const turn = `rotate(${back ? one.turn : -one.turn} ${x} ${y})`;
    parts.push(line("rect", 1.3, { x: x - long, y: y - r, width: 2 * long, height: 2 * r, rx: r, transform: turn }));
    parts.push(line("path", 0.8, { d: `M${x - r - 4} ${y}h${2 * r + 8}M${x} ${y - r - 4}v${2 * r + 8}` }));
    const anchor = x > WIDE * 0.75 ? "end" : "start";
    const beside = anchor === "end" ? -r - 4 : r + 4;
    const words = { x: x + beside, y: y - r - 3, "font-size": 16, "font-weight": 600, "text-anchor": anchor, fill: "currentColor" };
    parts.push(make("text", words));
    parts.at(-1).textContent = one.label;
  });
  const svg = side.querySelector("svg");
  svg.setAttribute("viewBox", `0 0 ${WIDE} ${tall}`);
  svg.replaceChildren(...svg.querySelectorAll(":scope > title, :scope > desc"), ...parts);
}

const line = (name, thick, more) => make(name, { fill: "none", stroke: "currentColor", "stroke-width": thick, ...more });

function make(name, attributes) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
}
