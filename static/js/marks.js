// Marks on photos: a press on a photo sets a numbered spot, and a row of fields says the same in figures.
const SAID = ["x_percent", "y_percent", "kind", "note"];
const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

export function start(page) {
  for (const box of page.querySelectorAll("[data-marks]")) watch(box);
}

function watch(box) {
  const form = box.closest("form");
  const place = box.querySelector("[data-stages]");
  const more = box.querySelector("[data-more]");
  const rows = () => [...box.querySelectorAll("[data-row]")];
  const made = (name) => box.querySelector(`template[data-of=${name}]`).content.firstElementChild.cloneNode(true);
  const words = (name, ...values) => box.dataset[name].replace(/\{(\d)\}/g, (_all, index) => values[index]);
  let stages = [];

  // Key and source of each photo, in the order in which the laptop counts them: those it has, those just chosen.
  function photos() {
    return box.dataset.marks.split(" ").flatMap((name) => [
      ...[...form.querySelectorAll(`[name=${name}_sha]:checked, .${name}_sha`)].map(({ value }) => [value, `/photos/${value}/1280`]),
      ...[...(form.querySelector(`[type=file][name=${name}]`)?.files || [])].map((file) => [name + file.name + file.size, file]),
    ]);
  }

  function look() {
    const before = stages;
    stages = photos().map(([key, source]) => before.find((one) => one.key === key) || stage(key, source));
    place.replaceChildren(...stages.map((one) => one.figure));
    stages.forEach((one, index) => (one.face.ariaLabel = words("face", index + 1)));
    for (const row of rows()) {
      const [photo, of] = [field(row, "photo"), field(row, "of")];
      if (row.stage) stages.includes(row.stage) || empty(row);
      else if (!of.value || Number(of.value) === stages.length) row.stage = stages[photo.value - 1];
      // Said among another number of photos, a photo's own number says nothing any more.
      else photo.value = of.value = "";
    }
    draw();
  }

  function stage(key, source) {
    const figure = made("stage");
    const face = figure.querySelector("button");
    const image = face.firstElementChild;
    const one = { key, figure, face, image };
    image.src = source.size ? URL.createObjectURL(source) : source;
    on(face, "click", (event) => {
      const edge = image.getBoundingClientRect();
      const row = rows().slice(rows().findLastIndex((other) => !blank(other)) + 1)[0] || add();
      row.stage = one;
      // A press by keyboard has no place: the middle, and arrow keys from there.
      if (event.detail) move(row, (event.clientX - edge.left) / edge.width, (event.clientY - edge.top) / edge.height);
      else move(row, 0.5, 0.5).focus();
    });
    return one;
  }

  function add() {
    const row = made("row");
    row.innerHTML = row.innerHTML.replaceAll("__row__", 100 + rows().length);
    more.before(row);
    return row;
  }

  // Gives the row's spot.
  function move(row, ...to) {
    to.forEach((share, index) => (field(row, SAID[index]).value = Math.round(Math.min(1, Math.max(0, share)) * 1e3) / 10));
    changed(row);
    box.querySelector("[data-says]").textContent = row.spot.ariaLabel;
    return row.spot;
  }

  function draw() {
    let number = 0;
    for (const row of rows()) {
      row.hidden = blank(row);
      if (row.hidden) empty(row);
      else row.querySelector("b").textContent = number += 1;
      field(row, "photo").closest(".field").hidden = row.stage;
      if (!row.stage) continue;
      field(row, "photo").value = stages.indexOf(row.stage) + 1;
      field(row, "of").value = stages.length;
      const [x, y] = at(row);
      const spot = (row.spot ||= spotOf(row));
      if (!row.stage.figure.contains(spot)) row.stage.face.after(spot);
      spot.style.left = `${x}%`;
      spot.style.top = `${y}%`;
      spot.querySelector("text").textContent = number;
      spot.ariaLabel = words("spot", number, x, y);
    }
    more.parentNode.hidden = !stages.length && !number;
  }

  function spotOf(row) {
    const spot = made("spot");
    let from = null;
    // Moved by as much as the finger moves, which need not lie on the spot and hide it.
    on(spot, "pointerdown", (event) => {
      spot.setPointerCapture(event.pointerId);
      from = [event.clientX, event.clientY, ...at(row)];
    });
    on(spot, "pointermove", (event) => {
      const { width, height } = row.stage.image.getBoundingClientRect();
      if (from) move(row, from[2] / 100 + (event.clientX - from[0]) / width, from[3] / 100 + (event.clientY - from[1]) / height);
    });
    on(spot, "lostpointercapture", () => (from = null));
    on(spot, "keydown", (event) => {
      const step = STEPS[event.key];
      if (step) move(row, ...at(row).map((percent, index) => (percent + step[index]) / 100));
      else if (event.key === "Delete" || event.key === "Backspace") takeOut(row);
      else return;
      event.preventDefault();
    });
    return spot;
  }

  function takeOut(row) {
    row.stage?.face.focus();
    empty(row);
    changed(row);
  }

  more.hidden = true;
  on(more, "click", (event) => event.preventDefault() || add());
  on(more.parentNode, "input", draw);
  on(more.parentNode, "click", ({ target }) => target.matches("[data-out]") && takeOut(target.closest("[data-row]")));
  on(form, "photos", look);
  on(form, "change", ({ target }) => /_sha$/.test(target.name) && look());
  on(form, "reset", () => setTimeout(look));
  // What a draft filled in says by its number which photo it is about.
  on(form, "draft", () => {
    for (const row of rows()) row.stage = null;
    look();
  });
  look();
}

// A row that says nothing is not there for the laptop either.
function empty(row) {
  for (const name of [...SAID, "photo", "of"]) field(row, name).value = "";
  row.spot?.remove();
  row.stage = row.spot = null;
}

function on(target, name, then) {
  target.addEventListener(name, then);
}

function field(row, name) {
  return row.querySelector(`[name$="-${name}"]`);
}

function at(row) {
  return [0, 1].map((index) => Number(field(row, SAID[index]).value.replace(",", ".")));
}

function blank(row) {
  return SAID.every((name) => !field(row, name).value.trim());
}

function changed(row) {
  field(row, "note").dispatchEvent(new Event("input", { bubbles: true }));
}
