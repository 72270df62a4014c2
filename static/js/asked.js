// Hides, row by row, fields that what was chosen in the row does not ask for. What is filled in or refused stays seen.
export function start(page) {
  for (const list of page.querySelectorAll("[data-asked]")) {
    const rules = JSON.parse(list.dataset.asked);
    const show = () => list.querySelectorAll(".line-row").forEach((row) => look(row, rules));
    list.addEventListener("change", show);
    // A row that was added is there once the press has been dealt with.
    list.addEventListener("click", () => setTimeout(show));
    show();
  }
}

function look(row, rules) {
  for (const [name, wanted] of Object.entries(rules)) {
    const input = row.querySelector(`[name$="-${name}"]`);
    const field = input && input.closest(".field");
    if (!field) continue;
    const asked = Object.entries(wanted).every(([other, values]) => {
      const chosen = row.querySelector(`select[name$="-${other}"]`);
      return !chosen || values.includes(chosen.value);
    });
    const filled = input.type === "checkbox" ? input.checked : input.value;
    field.hidden = !asked && !filled && !field.classList.contains("wrong");
  }
}
