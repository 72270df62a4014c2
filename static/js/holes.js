// Readings as they are called: the tape in hand stands out on the drawing, and one that is far from the plan is said.
const PLAIN = /^(\d+)(?:[.,](\d+))?\s*(mm)?$/;
const FAR_MM = 50;
const FAR_SHARE = 0.1;
const HELD_MM = 100;

export function start(page) {
  const figure = page.querySelector("[data-holes-plan]");
  const rows = page.querySelector(".called");
  if (!rows) return;
  const lines = figure.querySelectorAll(".plan-lines line");
  const pairs = JSON.parse(figure.dataset.holesPlan).map((pair) => pair.join("|"));
  const lineOf = (row) => lines[pairs.indexOf(row?.dataset.reading)];
  const rowOf = (event) => event.target.closest?.("[data-reading]");
  const look = () => {
    for (const row of rows.querySelectorAll("[data-reading]")) {
      if (read(row)) lineOf(row)?.removeAttribute("stroke-dasharray");
      far(row);
    }
  };
  rows.addEventListener("focusin", (event) => lineOf(rowOf(event))?.setAttribute("stroke-width", 4));
  rows.addEventListener("focusout", (event) => lineOf(rowOf(event))?.setAttribute("stroke-width", 1.3));
  for (const event of ["input", "change", "draft"]) page.getElementById("form").addEventListener(event, look);
  look();

  function far(row) {
    const says = row.querySelector("[data-says]");
    const planned = Number(row.dataset.expect);
    const found = PLAIN.exec(read(row));
    const inches = page.querySelector("[name=unit][value=in]").checked && !found?.[3];
    if (!planned || !found || inches) return (says.textContent = "");
    const held = row.querySelector("[name$=-held]") ? HELD_MM : 0;
    const off = Math.abs(Number(`${found[1]}.${found[2] ?? 0}`) - held - planned);
    const words = rows.dataset.wordsFar.replace("{mm}", Math.round(planned + held));
    says.textContent = off > Math.max(FAR_MM, planned * FAR_SHARE) ? words : "";
  }
}

const read = (row) => row.querySelector("[name$=-read]").value.trim();
