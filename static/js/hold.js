// A hold point is confirmed by pressing and holding. By keyboard, or by a short press, the tick is asked for instead.
const HOLD_MS = 900;

export function start(page) {
  for (const box of page.querySelectorAll("[data-hold]")) watch(box);
}

function watch(box) {
  const tick = box.querySelector("input[type=checkbox]");
  const label = tick.closest("label");
  const button = box.querySelector("button");
  const says = box.querySelector("[data-hold-says]");
  let timer = 0;

  label.hidden = !tick.checked && !box.classList.contains("wrong");
  says.textContent = box.dataset.wordsHold;

  const letGo = () => {
    clearTimeout(timer);
    timer = 0;
    button.classList.remove("holding");
  };
  button.addEventListener("pointerdown", (event) => {
    if (event.button > 0 || tick.checked) return;
    button.classList.add("holding");
    timer = setTimeout(() => {
      letGo();
      tick.checked = true;
      button.form.requestSubmit(button);
    }, HOLD_MS);
  });
  button.form.addEventListener("takenback", () => {
    tick.checked = false;
    label.hidden = true;
  });
  for (const end of ["pointerup", "pointercancel", "pointerleave"]) button.addEventListener(end, letGo);
  button.addEventListener("contextmenu", (event) => event.preventDefault());
  button.addEventListener("click", (event) => {
    if (tick.checked) return;
    event.preventDefault();
    label.hidden = false;
    if (event.detail === 0) tick.focus();
  });
}
